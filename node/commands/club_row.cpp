#include "node/commands/club_row.hpp"

#include <algorithm>

#include "node/commands/club_shares.hpp"
#include "node/commands/consent_days.hpp"
#include "node/commands/own_clubs.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

std::optional<MemberId> mentor_of(const WayView& way) {
    for (const PersonView& p : way.people) {
        if (p.role == MemberRole::mentor) return p.id;
    }
    return std::nullopt;
}

// Where the club sees somebody: the way is an order to recommend, so a milestone far along counts for more than an item
// left open at the start.
std::optional<std::uint8_t> shown_stage(const domain::Progress& progress) {
    if (!progress.current_stage || !progress.furthest_stage) return progress.current_stage;
    return std::max(*progress.current_stage, *progress.furthest_stage);
}

// The last day on which an item of that stage or an earlier one was reached.
std::optional<Day> stage_since(const WayView& way) {
    const auto stage = shown_stage(way.progress);
    std::optional<Day> since;
    if (!stage) return since;
    for (const auto& [item, state] : way.states) {
        const auto reached = state.reached_on();
        if (item.stage <= *stage && reached) since = std::max(since.value_or(*reached), *reached);
    }
    return since;
}

std::string two_digits(std::uint8_t stage) {
    return (stage < 10 ? "0" : "") + std::to_string(stage);
}

ClubRowBody row_of(const WayView& way, Day consent_until) {
    ClubRowBody row;
    row.name = way.owner.name;
    if (way.owner.card) row.call_sign = way.owner.card->call_sign;  // theirs to show or not, granted or not
    if (const auto stage = shown_stage(way.progress)) row.stage = two_digits(*stage);
    row.stage_since = stage_since(way);
    row.last_milestone = way.progress.last_milestone;
    row.last_contact = way.dates.last_contact;
    row.last_touch = way.dates.last_mentor_touch;
    row.mentor = mentor_of(way);
    row.help_topic = way.help_topic;
    if (!way.help_topic.empty()) row.help_since = way.help_since;
    row.resting = way.facts.resting;
    row.is_minor = way.owner.is_minor;
    row.consent_until = consent_until;
    return row;
}

Result<void> publish_row(Context& context, const CircleId& club, const WayView& own, Day until) {
    const Bytes row = codec::encode(row_of(own, until));
    TRY(const auto before, shown_by(context.db, club, kind::club_row, context.me.id()));
    if (before && before->payload == row) return ok();
    std::vector<EventId> supersedes;
    if (before) supersedes.push_back(before->id);
    TRY(say(context, club, kind::club_row, row, std::move(supersedes)));
    return ok();
}

}  // namespace

Result<Done> share_with_club(Context& context, Day until) {
    TRY(const CircleView club, club_called(context, ""));
    return share_with_club(context, club, until);
}

Result<Done> share_with_club(Context& context, const CircleView& club, Day until) {
    TRY(const WayView own, way(context, ""));
    if (until < context.today())
        return Error{Fault::bad_input, "That day is past; say until when the club may hold your row."};
    if (days_between(context.today(), until) > consent_days_max) {
        return Error{Fault::bad_input, "Consent is given for two years at most; choose a nearer day."};
    }
    TRY(note_share(context, row_share, club.id, to_iso(until)));
    TRY(refresh_club_row(context));
    return Done{"The club " + club.name + " now sees twelve facts about your way until " + to_iso(until) +
                    ". What it has seen cannot be taken back; you can stop new news at any time.",
                {}};
}

Result<Done> stop_sharing(Context& context) {
    TRY(end_shares(context, row_share));
    return Done{"The club gets no more news of your way. What it has already stays with it until its date.", {}};
}

Result<void> refresh_club_row(Context& context) {
    TRY(const auto shares, noted_shares(context, row_share));
    if (shares.empty()) return ok();
    const auto own = way(context, "");
    if (!own) return ok();
    for (const NotedShare& share : shares) {
        TRY(const Day until, parse_day(share.value));
        if (until < context.today()) continue;
        TRY(publish_row(context, share.club.id, own.value(), until));
    }
    return ok();
}

Result<void> tell_arrival(Context& context, const CircleId& circle) {
    context.news(circle);
    const auto path = own_circle(context, CircleKind::path);
    if (!path || path.value().id != circle) return ok();
    return refresh_club_row(context);
}

}  // namespace ladderline::node
