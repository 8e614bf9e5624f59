#include "node/commands/meetings.hpp"

#include <algorithm>

#include "node/commands/meeting_advice.hpp"
#include "node/commands/typed_fields.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int32_t look_ahead_days = 14;

Result<void> guardian_is_there(const WayView& view) {
    if (!view.owner.is_minor || !guardian_names(view).empty()) return ok();
    return Error{Fault::refused,
                 "Nothing was arranged: " + view.owner.name +
                     " is under 18, and no guardian is on the path. A guardian joins the path first, with "
                     "a code from 'ladderline invite'."};
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

const PersonView* mentor_on(const WayView& way) {
    for (const PersonView& p : way.people) {
        if (p.role == MemberRole::mentor && p.id != way.owner.id) return &p;
    }
    return nullptr;
}

const PersonView* person_on(const WayView& way, const MemberId& id) {
    const auto found =
        std::find_if(way.people.begin(), way.people.end(), [&](const PersonView& p) { return p.id == id; });
    return found != way.people.end() ? &*found : nullptr;
}

const PersonView* other_of(const Context& context, const WayView& way, const MeetingView& meeting) {
    const bool mine = meeting.meeting.other == context.me.id();
    return person_on(way, mine ? meeting.by : meeting.meeting.other);
}

Result<void> check_meeting(Context& context, const WayView& way, const MeetRequest& request) {
    TRY(guardian_is_there(way));
    TRY(domain::group_complete(way.group, context.today()));
    if (request.start < context.now())
        return Error{Fault::bad_input, to_iso_minute(request.start) + " is past; arrange a time to come."};
    if (request.first_frequency.empty())
        return Error{Fault::bad_input, "Say the first frequency in MHz: --first 146.52."};
    TRY(check_frequency(request.first_frequency));
    TRY(check_frequency(request.second_frequency));
    TRY(check_length(request.fallback, limits::line_bytes_max, "fallback"));
    TRY(check_length(request.words, limits::line_bytes_max, "text"));
    TRY(check_length(request.mode, limits::call_bytes_max, "mode"));
    return check_length(request.first_frequency + request.second_frequency, limits::call_bytes_max,
                        "pair of frequencies");
}

Result<Arranged> arrange(Context& context, const MeetRequest& request) {
    TRY(const WayView view, way(context, request.who));
    TRY(const PersonView me, myself(context, view.circle.id));
    TRY(guardian_is_there(view));
    PersonView other = view.owner;
    if (me.id == view.owner.id) {
        if (request.with.empty() && mentor_on(view) == nullptr) {
            return Error{Fault::not_found, "Nobody is with you on your way yet; let a mentor in first."};
        }
        if (request.with.empty()) {
            other = *mentor_on(view);
        } else {
            TRY(other, find_person(context, view.circle.id, request.with));
        }
    }
    TRY(check_meeting(context, view, request));
    const MeetBody body{request.start,    other.id,     request.first_frequency, request.second_frequency, request.mode,
                        request.fallback, request.words};
    TRY(const EventId id, say(context, view.circle.id, kind::meet, codec::encode(body)));
    const PersonView& far = me.id == view.owner.id ? other : me;
    return Arranged{id, other.name, advice_on(view, far, request)};
}

Result<Done> meet(Context& context, const MeetRequest& request) {
    TRY(const Arranged arranged, arrange(context, request));
    return Done{"Arranged with " + arranged.with + ": " + to_iso_minute(request.start) + " on " +
                    request.first_frequency + " MHz " + request.mode + "." + arranged.advice,
                arranged.id};
}

Result<Done> meet_outcome(Context& context, const MeetOutcomeRequest& request) {
    TRY(const WayView view, way(context, request.who));
    std::optional<MeetingView> found;
    if (!request.meeting.empty()) {
        TRY(found, find_meeting(view, request.meeting));
    } else {
        for (const MeetingView& m : view.meetings) {
            if (!m.outcome) found = m;
        }
    }
    if (!found) return Error{Fault::not_found, "There is no such arranged contact on this path."};
    const MeetOutcomeBody body{found->id, request.outcome};
    TRY(const EventId id, say(context, view.circle.id, kind::meet_outcome, codec::encode(body)));
    switch (request.outcome) {
        case MeetOutcome::made:
            return Done{"Made. Write the contact down with 'ladderline contact'.", id};
        case MeetOutcome::nobody_heard:
            return Done{"Nobody heard: nobody's fault. Set it again with 'ladderline meet --again last --at TIME'.",
                        id};
        case MeetOutcome::moved:
            break;
    }
    return Done{"Moved. Set the new time with 'ladderline meet --again last --at TIME'.", id};
}

Result<MeetingView> find_meeting(const WayView& way, std::string_view id) {
    const MeetingView* found = nullptr;
    for (const MeetingView& m : way.meetings) {
        if (!id.empty() && !to_hex(m.id.view()).starts_with(id)) continue;
        if (!id.empty() && found != nullptr) {
            return Error{Fault::bad_input,
                         "Several arranged contacts begin with '" + std::string(id) + "'; give more of its digits."};
        }
        found = &m;
    }
    if (found == nullptr) return Error{Fault::not_found, "There is no such arranged contact on this path."};
    return *found;
}

MeetRequest again(Context& context, const WayView& way, const MeetingView& earlier, const std::string& who) {
    const MeetBody& m = earlier.meeting;
    MeetRequest out;
    out.who = who;
    if (way.owner.id == context.me.id()) {
        const MemberId other = m.other == way.owner.id ? earlier.by : m.other;
        if (other != way.owner.id) out.with = to_hex(other.view());
    }
    out.first_frequency = m.first_frequency;
    out.second_frequency = m.second_frequency;
    out.mode = m.mode;
    out.fallback = m.fallback;
    out.words = m.words;
    return out;
}

Result<std::vector<domain::ProposedStart>> propose_starts_for(Context& context, const WayView& way, std::size_t count) {
    TRY(const auto starts, propose_times(context, way, count));
    return domain::describe_starts(starts, availability(way.owner).zone, availability(*mentor_on(way)).zone);
}

Result<std::vector<WallTime>> propose_times(Context& context, const WayView& view, std::size_t count) {
    const PersonView* mentor = mentor_on(view);
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
        taken.push_back({m.meeting.start, {m.meeting.start.ms + meet_minutes * 60'000LL}});
    }
    return domain::propose_starts(spans, taken, meet_minutes, count);
}

}  // namespace ladderline::node
