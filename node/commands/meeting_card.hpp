#pragma once
// An arranged contact to take along: on one sheet of paper in large print, and as an entry of a calendar.

#include "node/commands/meetings.hpp"
#include "node/commands/plain_text.hpp"

namespace ladderline::node {

struct MeetingCard {
    std::string title;  // "Contact with Ben"
    struct Row {
        std::string label;
        std::string text;
    };
    std::vector<Row> rows;                  // with whom, when on each clock, where, and what then
    std::vector<std::string> say_first;     // in the order of being said
    std::vector<std::string> say_last;      // the last words
    std::vector<std::string> good_to_know;  // sentences
};
// For whoever looks: their own clock and call sign stand first.
MeetingCard meeting_card(Context& context, const WayView& way, const MeetingView& meeting);
// The same as lines of plain text.
std::vector<std::string> card_lines(const MeetingCard& card);

// Called off where it was moved, and where it does not take place now (is_called_off), which it then says first.
CalendarEntry calendar_entry(const WayView& way, const MeetingView& meeting, WallTime now);
// The calendar (RFC 5545) of one arranged contact, or of every one on that path.
std::string meetings_calendar(const WayView& way, const std::vector<MeetingView>& meetings, WallTime now);

// "made", "nobody heard", "moved"; where nobody has said, "to come" or, once it has begun, "not said".
std::string_view outcome_word(const MeetingView& meeting, WallTime now);

}  // namespace ladderline::node
