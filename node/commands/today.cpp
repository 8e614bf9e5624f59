#include "node/commands/today.hpp"

#include "node/commands/clock_note.hpp"
#include "node/commands/meeting_ends.hpp"
#include "node/commands/path_pause.hpp"

namespace ladderline::node {
namespace {

void add_next(const Context& context, const WayView& view, TodayPart& part) {
    if (!view.progress.next) return;
    const domain::NextStep& next = *view.progress.next;
    const domain::Item* item = context.edition.find(next.item);
    std::string sentence = domain::to_text(next.item) + (item != nullptr ? "  " + item->text : "");
    // What was done once and is asked for again is no news without the reason.
    const bool again = (next.reason == domain::Reason::minor_first || next.reason == domain::Reason::reopened) &&
                       domain::state_of(view.states, next.item).reached();
    if (again) sentence += ". " + next.why;
    part.lines.push_back({TodayKind::next_step, std::move(sentence), {}});
}

void add_contacts(const Context& context, const WayView& view, Day day, TodayPart& part) {
    for (const MeetingView& meeting : view.meetings) {
        const std::int32_t ahead = days_between(day, utc_day(meeting.meeting.start));
        if (meeting.outcome || ahead < 0 || ahead > today_contact_days) continue;
        const bool is_off = is_called_off(view, meeting, day);
        part.lines.push_back({is_off ? TodayKind::called_off : TodayKind::contact,
                              to_iso_minute(meeting.meeting.start) + " " + ends_words(context, view, meeting) + " on " +
                                  meeting.meeting.first_frequency + " MHz " + meeting.meeting.mode +
                                  (is_off ? "  [" + std::string(called_off_words) + "]" : ""),
                              utc_day(meeting.meeting.start)});
    }
}

void add_open(const WayView& view, TodayPart& part) {
    if (!view.help_topic.empty()) {
        part.lines.push_back({TodayKind::help, "Asks for a hand: " + view.help_topic, view.help_since});
    }
    for (const domain::Waiting& waiting : view.progress.waiting) {
        part.lines.push_back({TodayKind::waiting, waiting.sentence, waiting.since});
    }
    for (const domain::DueLine& due : view.due) {
        if (due.days_left <= today_due_days) part.lines.push_back({TodayKind::due, due.sentence, due.day});
    }
}

TodayPart part_of(const Context& context, const WayView& view, Day day, bool is_own) {
    TodayPart part{view.owner.name, is_own, view.facts.resting, {}};
    add_contacts(context, view, day, part);
    if (part.is_resting) return part;
    add_next(context, view, part);
    add_open(view, part);
    return part;
}

}  // namespace

std::string_view to_word(TodayKind kind) {
    switch (kind) {
        case TodayKind::next_step:
            return "next step";
        case TodayKind::contact:
            return "contact";
        case TodayKind::called_off:
            return "called off";
        case TodayKind::help:
            return "help";
        case TodayKind::waiting:
            return "waiting";
        case TodayKind::due:
            break;
    }
    return "due";
}

Result<Today> today(Context& context) {
    Today out{context.today(), {}};
    TRY(out.clock, clock_note(context));
    if (own_circle(context, protocol::CircleKind::path)) {
        TRY(const WayView view, way(context, ""));
        out.parts.push_back(part_of(context, view, out.day, true));
    }
    TRY(const auto others, ways_of_others(context));
    for (const WayView& view : others) out.parts.push_back(part_of(context, view, out.day, false));
    return out;
}

}  // namespace ladderline::node
