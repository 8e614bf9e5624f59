#include "node/commands/meetings.hpp"

#include <algorithm>

#include "node/commands/meeting_advice.hpp"
#include "node/commands/meeting_ends.hpp"
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

// The latest of those that fit; where none does, the next to come of those that `else_of` takes.
template <class Fits, class ElseOf>
std::optional<MeetingView> latest_or_next(const WayView& way, Fits fits, ElseOf else_of) {
    const MeetingView* latest = nullptr;
    const MeetingView* next = nullptr;
    for (const MeetingView& m : way.meetings) {
        if (fits(m)) {
            if (latest == nullptr || latest->meeting.start <= m.meeting.start) latest = &m;
        } else if (else_of(m) && (next == nullptr || m.meeting.start < next->meeting.start)) {
            next = &m;
        }
    }
    const MeetingView* found = latest != nullptr ? latest : next;
    return found != nullptr ? std::optional(*found) : std::nullopt;
}

std::optional<MeetingView> last_without_outcome(const WayView& way, WallTime now) {
    const auto is_open = [](const MeetingView& m) { return !m.outcome; };
    return latest_or_next(
        way, [&](const MeetingView& m) { return is_open(m) && m.meeting.start <= now; }, is_open);
}

// The same pressed or typed twice is one arranged contact.
Result<void> check_new(const WayView& view, const PersonView& other, const MeetRequest& request) {
    for (const MeetingView& m : view.meetings) {
        const bool is_same = !m.outcome && m.meeting.start == request.start && m.meeting.other == other.id &&
                             m.meeting.first_frequency == request.first_frequency && m.meeting.mode == request.mode;
        if (is_same) {
            return Error{Fault::refused, "That is arranged already: " + to_iso_minute(request.start) + " on " +
                                             request.first_frequency + " MHz " + request.mode + "."};
        }
    }
    return ok();
}

domain::TimeSpan span_of(WallTime start) {
    return {start, {start.ms + meet_minutes * 60'000LL}};
}

// Of one path: those still to be had in which the owner of this store is on the air.
void add_own_spans(const Context& context, const WayView& view, std::vector<domain::TimeSpan>& out) {
    for (const MeetingView& m : view.meetings) {
        if (!m.outcome && is_end_of(context, view, m)) out.push_back(span_of(m.meeting.start));
    }
}

// What is typed next, by whoever looks at that path.
std::string command(const std::string& name, const std::string& who, const std::string& rest) {
    const bool is_one_word = who.find(' ') == std::string::npos;
    return "'ladderline " + name + (who.empty() ? "" : is_one_word ? " " + who : " \"" + who + "\"") + rest + "'";
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
    const MemberId helper = helper_id_of(way, meeting);
    return person_on(way, helper == context.me.id() ? way.owner.id : helper);
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

Result<std::vector<domain::TimeSpan>> own_spans(Context& context) {
    TRY(const auto others, ways_of_others(context));
    std::vector<domain::TimeSpan> out;
    for (const WayView& view : others) add_own_spans(context, view, out);
    const auto own = own_circle(context, CircleKind::path);
    if (!own) return out;  // a mentor walks none
    TRY(const WayView mine, way_of(context, own.value()));
    add_own_spans(context, mine, out);
    return out;
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
        if (other.id == me.id) return Error{Fault::bad_input, "A contact is arranged with somebody else; with whom?"};
    }
    TRY(check_meeting(context, view, request));
    TRY(check_new(view, other, request));
    TRY(const auto taken, own_spans(context));
    const MeetBody body{request.start,    other.id,     request.first_frequency, request.second_frequency, request.mode,
                        request.fallback, request.words};
    TRY(const EventId id, say(context, view.circle.id, kind::meet, codec::encode(body)));
    const PersonView& far = me.id == view.owner.id ? other : me;
    std::string advice = advice_on(view, far, request);
    const domain::TimeSpan wanted = span_of(request.start);
    const bool has_another = std::any_of(taken.begin(), taken.end(), [&](const domain::TimeSpan& t) {
        return t.from < wanted.to && wanted.from < t.to;
    });
    if (has_another) advice += " You have another contact then.";
    return Arranged{id, other.name, std::move(advice)};
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
        found = last_without_outcome(view, context.now());
    }
    if (!found) return Error{Fault::not_found, "There is no such arranged contact on this path."};
    const MeetOutcomeBody body{found->id, request.outcome};
    const std::string when = to_iso_minute(found->meeting.start);
    if (request.outcome != MeetOutcome::moved && !has_begun(found->meeting.start, context.now())) {
        return Error{Fault::bad_input, when +
                                           " has not come yet, so that it can only be said to be moved; nothing was "
                                           "written down. Or is the clock of this machine behind?"};
    }
    TRY(const EventId id, say(context, view.circle.id, kind::meet_outcome, codec::encode(body)));
    const std::string set_again = command("meet", request.who, " --again last --at TIME");
    switch (request.outcome) {
        case MeetOutcome::made:
            return Done{when + ": made. Write the contact down with 'ladderline contact CALL" +
                            (request.who.empty() ? "" : " --for NAME") + "'.",
                        id};
        case MeetOutcome::nobody_heard:
            return Done{when + ": nobody heard, which is nobody's fault. Set it again with " + set_again + ".", id};
        case MeetOutcome::moved:
            break;
    }
    return Done{when + ": moved. Set the new time with " + set_again + ".", id};
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

Result<MeetingView> meeting_to_repeat(const WayView& way, std::string_view id, WallTime now) {
    if (!id.empty()) return find_meeting(way, id);
    const auto is_over = [&](const MeetingView& m) { return m.outcome || m.meeting.start <= now; };
    const auto found = latest_or_next(way, is_over, [](const MeetingView&) { return true; });
    if (!found) return find_meeting(way, id);
    return *found;
}

MeetRequest again(Context& context, const WayView& way, const MeetingView& earlier, const std::string& who) {
    const MeetBody& m = earlier.meeting;
    MeetRequest out;
    out.who = who;
    if (way.owner.id == context.me.id()) {
        const MemberId other = helper_id_of(way, earlier);
        if (other != way.owner.id) out.with = to_hex(other.view());
    }
    out.first_frequency = m.first_frequency;
    out.second_frequency = m.second_frequency;
    out.mode = m.mode;
    out.fallback = m.fallback;
    out.words = m.words;
    return out;
}

Result<std::vector<domain::ProposedStart>> propose_starts_for(Context& context, const WayView& way,
                                                              const PersonView& other, std::size_t count) {
    TRY(const auto starts, propose_times(context, way, other, count));
    return domain::describe_starts(starts, availability(way.owner).zone, availability(other).zone);
}

Result<std::vector<WallTime>> propose_times(Context& context, const WayView& view, const PersonView& other,
                                            std::size_t count) {
    const domain::Availability a = availability(view.owner);
    const domain::Availability b = availability(other);
    if (a.windows.empty() || b.windows.empty()) {
        return Error{
            Fault::not_found,
            "Both need weekly times on their cards first: ladderline card --times \"Tue 18:00-21:00\" --zone ZONE."};
    }
    for (const auto& [whose, name] : {std::pair(&a, &view.owner.name), std::pair(&b, &other.name)}) {
        if (!whose->zone.empty()) continue;
        return Error{Fault::not_found,
                     *name + " has no time zone on the card yet: ladderline card --zone America/New_York."};
    }
    TRY(const auto spans, domain::common_times(a, b, context.today() + 1, look_ahead_days, meet_minutes));
    TRY(std::vector<domain::TimeSpan> taken, own_spans(context));
    for (const MeetingView& m : view.meetings) taken.push_back(span_of(m.meeting.start));
    return domain::propose_starts(spans, taken, meet_minutes, count);
}

}  // namespace ladderline::node
