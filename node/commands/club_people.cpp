#include "node/commands/club_people.hpp"

#include <algorithm>
#include <set>

#include "node/commands/way.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

// Somebody who asked to be in the list until a day that is over is not read any more.
bool is_over(const ClubRowBody& row, Day today) {
    return row.consent_until < today;
}

Result<void> load_rows(Context& context, ClubPeople& people) {
    TRY(auto told, row_stories(context.db, people.club.id));
    TRY(const auto carded, first_shown(context.db, people.club.id, kind::card));
    std::map<MemberId, ClubNewcomer*> by_id;
    for (ClubNewcomer& newcomer : people.newcomers) by_id[newcomer.person.id] = &newcomer;
    const auto seen = [](ClubNewcomer& newcomer, WallTime said) {
        const Day day = utc_day(said);
        newcomer.in_club_since = std::min(newcomer.in_club_since.value_or(day), day);
    };
    for (const auto& [id, said] : carded) {
        if (const auto found = by_id.find(id); found != by_id.end()) seen(*found->second, said);
    }
    for (auto& [by, rows] : told) {
        const auto row = rows.newest ? read_payload<ClubRowBody>(rows.newest->payload) : std::nullopt;
        if (!row) continue;
        const auto found = by_id.find(by);
        if (found == by_id.end()) {
            const bool is_former = !people.all.contains(by);
            if (is_former && !is_over(*row, context.today())) people.former.push_back(std::move(rows.story));
            continue;
        }
        ClubNewcomer& newcomer = *found->second;
        newcomer.is_minor = newcomer.is_minor || row->is_minor;
        newcomer.is_consent_over = is_over(*row, context.today());
        if (newcomer.is_consent_over) continue;
        newcomer.row = RowWrite{rows.newest->said, *row};
        newcomer.is_resting = newcomer.is_resting || row->resting;
        newcomer.story = std::move(rows.story);
        seen(newcomer, newcomer.story.first_said);
    }
    return ok();
}

// By a pairing that stands, else by the row, unless the club knows that they are not together any more.
void load_mentors(ClubPeople& people, const std::vector<PairingView>& pairs) {
    std::set<std::pair<MemberId, MemberId>> over;
    for (const PairingView& pair : pairs) {
        if (pair.step == PairingStep::ended) over.insert({pair.newcomer, pair.mentor});
    }
    std::map<MemberId, MemberId> paired;
    for (const PairingView& pair : people.standing) paired[pair.newcomer] = pair.mentor;
    for (ClubNewcomer& newcomer : people.newcomers) {
        const auto by_row = newcomer.row ? newcomer.row->row.mentor : std::nullopt;
        if (by_row && !over.contains({newcomer.person.id, *by_row})) newcomer.mentor = by_row;
        if (const auto pair = paired.find(newcomer.person.id); pair != paired.end()) newcomer.mentor = pair->second;
        if (newcomer.mentor) people.carries[*newcomer.mentor] += 1;
    }
}

}  // namespace

std::string ClubPeople::name_of(const MemberId& id) const {
    const auto found = all.find(id);
    return found == all.end() ? "somebody outside the club" : found->second.name;
}

namespace {

Result<void> check_officer(const PersonView& me) {
    if (me.role == MemberRole::officer) return ok();
    return Error{Fault::refused, "The club's review and pairings are for its officers; ask one of them."};
}

}  // namespace

Result<CircleView> club_as_officer(Context& context) {
    TRY(CircleView club, own_circle(context, CircleKind::club));
    TRY(const PersonView me, myself(context, club.id));
    TRY(check_officer(me));
    return club;
}

Result<ClubPeople> club_people(Context& context) {
    ClubPeople out;
    TRY(out.club, own_circle(context, CircleKind::club));
    TRY(out.me, myself(context, out.club.id));
    TRY(check_officer(out.me));
    TRY(const auto persons, people(context.db, out.club.id));
    for (const PersonView& person : persons) {
        out.all[person.id] = person;
        if (person.role != MemberRole::newcomer) continue;
        ClubNewcomer newcomer;
        newcomer.person = person;
        newcomer.is_minor = person.is_minor;
        newcomer.is_resting = person.card && person.card->resting;
        out.newcomers.push_back(std::move(newcomer));
    }
    TRY(const auto pairs, pairings(context.db, out.club.id));
    for (const PairingView& pair : pairs) {
        const bool both_here = out.all.contains(pair.newcomer) && out.all.contains(pair.mentor);
        if (pair.step == PairingStep::agreed && both_here) out.standing.push_back(pair);
    }
    TRY(load_rows(context, out));
    load_mentors(out, pairs);
    return out;
}

Result<void> adults_on_path(Context& context, const ClubNewcomer& newcomer) {
    if (!newcomer.is_minor) return ok();
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::path || circle.founder != newcomer.person.id) continue;
        TRY(const WayView view, way_of(context, circle));
        domain::Group group = view.group;
        group.under_18 = true;
        return domain::group_complete(group, context.today());
    }
    return Error{Fault::refused, newcomer.person.name +
                                     " is under 18: a guardian who agreed and a second adult must be on the path "
                                     "first, and this node does not see that path."};
}

std::vector<const PersonView*> mentors_of(const ClubPeople& people) {
    std::vector<const PersonView*> out;
    for (const auto& [id, person] : people.all) {
        const bool offers = person.card && person.card->room > 0;
        const bool takes = person.role == MemberRole::mentor || (person.role == MemberRole::officer && offers);
        if (takes && !person.is_minor) out.push_back(&person);
    }
    return out;
}

std::int32_t free_places_of(const ClubPeople& people, const PersonView& mentor) {
    if (!mentor.card || mentor.card->resting) return 0;
    const auto carried = people.carries.find(mentor.id);
    return std::max(0, std::int32_t{mentor.card->room} - (carried == people.carries.end() ? 0 : carried->second));
}

}  // namespace ladderline::node
