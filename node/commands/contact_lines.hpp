#pragma once
// Many contacts at once, a line each: a net, or a sheet of paper that is typed back in. And the running contact: begun
// now, ended later.

#include "node/commands/contacts.hpp"
#include "node/domain/meeting/local_time.hpp"

namespace ladderline::node {

// What stands once for all lines.
struct LinesRequest {
    std::string who;   // empty: the own path
    std::string text;  // lines as node/domain/radio/log_lines.hpp reads them
    WallTime start;    // of lines without a time where no line above has one, and the day of the first with one
    std::string frequency;
    std::string band;
    std::string mode;
    std::string guest_of;
    std::string comment;                    // stands before the remark of each line: "Tuesday net"
    std::optional<domain::Zone> zone = {};  // of the times and days in the lines; none: UTC
    bool another = false;                   // whatever looks the same in the log is another contact
};
struct LineLeft {
    std::size_t number = 0;  // from 1
    std::string line;        // as typed
    std::string sentence;
    bool is_double = false;  // it looks like a contact that is in the log, or in a line above
};
struct LinesTaken {
    std::size_t taken = 0;
    std::vector<LineLeft> left;
    std::string rest;  // the lines that were left, and what they need of the others (days), to be put right
};
// Good lines are written down in one step, the others are named each with its own sentence. Lines with nothing in them
// are passed over. bad_input: there is no line at all.
Result<LinesTaken> log_lines(Context& context, const LinesRequest& request);

// One line, at `request.start` if it has no time; what the line does not say is taken from `request`.
Result<ContactRequest> request_of_line(const LinesRequest& request);

// What the next contact is likely to be: frequency, band, mode and host of the latest one that this member wrote down.
// The host only within a day, so that nobody stays a guest by oversight.
ContactRequest usual_contact(Context& context, const WayView& way);

// A contact that was begun and not ended yet. Kept on this node alone, in no log and seen by nobody.
struct RunningContact {
    ContactRequest request;
};
Result<std::optional<RunningContact>> running_contact(Context& context);
// refused: one is running.
Result<Done> begin_contact(Context& context, const ContactRequest& request);
// `more` fills in what is not empty; the remark gets the time of the end. It runs on if it cannot be written down.
Result<Done> end_contact(Context& context, const ContactRequest& more);
// Nobody answered: nothing is written down.
Result<Done> drop_contact(Context& context);

}  // namespace ladderline::node
