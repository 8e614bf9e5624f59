#include "node/commands/meetings.hpp"

#include "node/domain/radio/adif.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int64_t meet_minutes = 30;
constexpr std::int32_t look_ahead_days = 14;

Result<void> check_frequency(const std::string& text) {
    if (text.empty()) return ok();
    TRY(domain::parse_megahertz(text));
    return ok();
}

Result<void> fits(const std::string& text, std::size_t bytes_max, std::string_view what) {
    if (text.size() <= bytes_max) return ok();
    return Error{Fault::bad_input, "The " + std::string(what) + " is too long; keep it short."};
}

const PersonView* mentor_in(const WayView& view) {
    for (const PersonView& p : view.people) {
        if (p.role == MemberRole::mentor && p.id != view.owner.id) return &p;
    }
    return nullptr;
}

}  // namespace

domain::Availability availability(const PersonView& person) {
    domain::Availability out;
    if (!person.card) return out;
    out.zone = person.card->zone;
    for (const WeeklyWindow& w : person.card->windows) {
        const auto weekday = static_cast<domain::Weekday>(w.weekday % 7);
        out.windows.push_back({weekday, w.start_minute, w.end_minute});
    }
    return out;
}

Result<Done> meet(Context& context, const MeetRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(const PersonView me, myself(context, view.circle.id));
    TRY(domain::group_complete(view.group, context.today()));
    PersonView other = view.owner;
    if (me.id == view.owner.id) {
        if (request.with.empty() && mentor_in(view) == nullptr) {
            return Error{Fault::not_found, "Nobody is with you on your way yet; let a mentor in first."};
        }
        if (request.with.empty()) {
            other = *mentor_in(view);
        } else {
            TRY(other, find_person(context, view.circle.id, request.with));
        }
    }
    if (request.start < context.now())
        return Error{Fault::bad_input, to_iso_minute(request.start) + " is past; arrange a time to come."};
    if (request.first_frequency.empty())
        return Error{Fault::bad_input, "Say the first frequency in MHz: --first 146.52."};
    TRY(check_frequency(request.first_frequency));
    TRY(check_frequency(request.second_frequency));
    TRY(fits(request.fallback, limits::line_bytes_max, "fallback"));
    TRY(fits(request.words, limits::line_bytes_max, "text"));
    TRY(fits(request.mode, limits::call_bytes_max, "mode"));
    TRY(fits(request.first_frequency + request.second_frequency, limits::call_bytes_max, "pair of frequencies"));
    const MeetBody body{request.start,    other.id,     request.first_frequency, request.second_frequency, request.mode,
                        request.fallback, request.words};
    TRY(const EventId id, say(context, view.circle.id, kind::meet, codec::encode(body)));
    return Done{"Arranged with " + other.name + ": " + to_iso_minute(request.start) + " on " + request.first_frequency +
                    " MHz " + request.mode + ".",
                id};
}

Result<Done> meet_outcome(Context& context, const MeetOutcomeRequest& request) {
    TRY(const WayView view, way(context, request.who));
    const MeetingView* found = nullptr;
    for (const MeetingView& m : view.meetings) {
        const bool meant =
            request.meeting.empty() ? !m.outcome.has_value() : to_hex(m.id.view()).starts_with(request.meeting);
        if (meant) found = &m;
    }
    if (found == nullptr) return Error{Fault::not_found, "There is no such arranged contact on this path."};
    const MeetOutcomeBody body{found->id, request.outcome};
    TRY(const EventId id, say(context, view.circle.id, kind::meet_outcome, codec::encode(body)));
    switch (request.outcome) {
        case MeetOutcome::made:
            return Done{"Made. Write the contact down with 'ladderline contact'.", id};
        case MeetOutcome::nobody_heard:
            return Done{"Nobody heard: nobody's fault. Set it again with 'ladderline meet'.", id};
        case MeetOutcome::moved:
            break;
    }
    return Done{"Moved. Set the new time with 'ladderline meet'.", id};
}

Result<std::vector<WallTime>> propose_times(Context& context, const WayView& view, std::size_t count) {
    const PersonView* mentor = mentor_in(view);
    if (mentor == nullptr) return Error{Fault::not_found, "There is no mentor on this path yet."};
    const domain::Availability a = availability(view.owner);
    const domain::Availability b = availability(*mentor);
    if (a.windows.empty() || b.windows.empty()) {
        return Error{
            Fault::not_found,
            "Both need weekly times on their cards first: ladderline card --times \"Tue 18:00-21:00\" --zone ZONE."};
    }
    TRY(const auto spans, domain::common_times(a, b, context.today() + 1, look_ahead_days, meet_minutes));
    std::vector<domain::TimeSpan> taken;
    for (const MeetingView& m : view.meetings) {
        taken.push_back({m.meeting.start, {m.meeting.start.ms + meet_minutes * 60'000}});
    }
    return domain::propose_starts(spans, taken, meet_minutes, count);
}

}  // namespace ladderline::node
