#include "node/commands/club_people.hpp"

#include <algorithm>

#include "node/commands/way.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

Result<void> load_rows(Context& context, ClubPeople& people) {
    TRY(const auto newest, shown(context.db, people.club.id, kind::club_row));
    TRY(const auto history, shown_history(context.db, people.club.id, kind::club_row));
    TRY(const auto cards, shown_history(context.db, people.club.id, kind::card));
    for (ClubNewcomer& newcomer : people.newcomers) {
        for (const ShownView& view : newest) {
            const auto row = view.by == newcomer.person.id ? read_payload<ClubRowBody>(view.payload) : std::nullopt;
            if (!row) continue;
            newcomer.is_minor = newcomer.is_minor || row->is_minor;
            newcomer.is_consent_over = row->consent_until < context.today();
            if (!newcomer.is_consent_over) newcomer.row = RowWrite{view.said, *row};
        }
        const auto seen = [&](const ShownView& view) {
            const Day day = utc_day(view.said);
            newcomer.in_club_since = std::min(newcomer.in_club_since.value_or(day), day);
        };
        for (const ShownView& view : cards) {
            if (view.by == newcomer.person.id) seen(view);
        }
        if (!newcomer.row) continue;
        newcomer.is_resting = newcomer.is_resting || newcomer.row->row.resting;
        for (const ShownView& view : history) {
            const auto row = view.by == newcomer.person.id ? read_payload<ClubRowBody>(view.payload) : std::nullopt;
            if (!row) continue;
            seen(view);
            newcomer.history.push_back({view.said, *row});
        }
    }
    std::map<MemberId, std::vector<RowWrite>> former;
    for (const ShownView& view : history) {
        const auto row = people.all.contains(view.by) ? std::nullopt : read_payload<ClubRowBody>(view.payload);
        if (row) former[view.by].push_back({view.said, *row});
    }
    for (auto& [id, writes] : former) {
        if (writes.back().row.consent_until >= context.today()) people.former.push_back(std::move(writes));
    }
    return ok();
}

void load_mentors(ClubPeople& people) {
    for (ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.row) newcomer.mentor = newcomer.row->row.mentor;
        for (const PairingView& pair : people.standing) {
            if (pair.newcomer == newcomer.person.id) newcomer.mentor = pair.mentor;
        }
        if (newcomer.mentor) people.carries[*newcomer.mentor] += 1;
    }
}

}  // namespace

std::string ClubPeople::name_of(const MemberId& id) const {
    const auto found = all.find(id);
    return found == all.end() ? "somebody outside the club" : found->second.name;
}

Result<ClubPeople> club_people(Context& context) {
    ClubPeople out;
    TRY(out.club, own_circle(context, CircleKind::club));
    TRY(out.me, myself(context, out.club.id));
    if (out.me.role != MemberRole::officer) {
        return Error{Fault::refused, "The club's review and pairings are for its officers; ask one of them."};
    }
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
    load_mentors(out);
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
