#include "node/commands/handover.hpp"

#include <algorithm>
#include <iterator>
#include <set>

#include "node/commands/review_questions.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/read_models/pair_steps.hpp"
#include "node/read_models/pairing_views.hpp"
#include "protocol/event/kinds.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int32_t review_near_days = 30;

using Pair = std::pair<MemberId, MemberId>;  // newcomer, mentor

std::set<Pair> standing_of(const ClubPeople& people, const std::vector<PairingView>& pairs) {
    std::set<Pair> out;
    for (const PairingView& pair : pairs) {
        const bool both_here = people.all.contains(pair.newcomer) && people.all.contains(pair.mentor);
        if (pair.step == PairingStep::agreed && both_here) out.emplace(pair.newcomer, pair.mentor);
    }
    return out;
}

// Pairs that would fall, or that would stand again, without this officer.
Result<int> pairs_on_my_word(Context& context, const ClubPeople& people) {
    TRY(const auto with, pairings(context.db, people.club.id));
    TRY(const auto without, pairings_without(context.db, people.club.id, people.me.id));
    std::vector<Pair> out;
    std::ranges::set_symmetric_difference(standing_of(people, with), standing_of(people, without),
                                          std::back_inserter(out));
    return static_cast<int>(out.size());
}

std::vector<OpenMatter> open_asks(const ClubPeople& people, Day today) {
    std::vector<OpenMatter> out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row || !newcomer.row->row.help_since) continue;
        const ClubRowBody& row = newcomer.row->row;
        out.push_back({newcomer.person.name,
                       row.help_topic + ", asked " + days_words(std::max(0, days_between(*row.help_since, today))) +
                           " ago" + (newcomer.mentor ? ", with " + people.name_of(*newcomer.mentor) : ", no mentor"),
                       row.help_since});
    }
    std::stable_sort(out.begin(), out.end(), [](auto& a, auto& b) { return a.day < b.day; });
    return out;
}

std::vector<OpenMatter> minors_of(Context& context, const ClubPeople& people) {
    std::vector<OpenMatter> out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.is_minor) continue;
        const auto adults = adults_on_path(context, newcomer);
        std::string sentence = adults ? "Guardian and second adult are on the path." : adults.error().sentence();
        std::optional<Day> day;
        if (newcomer.row) {
            day = newcomer.row->row.consent_until;
            sentence += " Consent to the club's list until " + to_iso(*day) + ".";
        }
        out.push_back({newcomer.person.name, sentence, day});
    }
    return out;
}

std::vector<OpenMatter> reviews_due(const ClubPeople& people, Day today) {
    const domain::Clocks& clocks = domain::shipped_clocks();
    std::vector<OpenMatter> out;
    for (const PairingView& pair : people.standing) {
        for (const std::int32_t after : {clocks.review_1_days, clocks.review_2_days, clocks.review_3_days}) {
            const Day day = pair.day + after;
            if (std::abs(days_between(today, day)) > review_near_days) continue;
            out.push_back({people.name_of(pair.newcomer) + " and " + people.name_of(pair.mentor),
                           "paired for " + days_words(after) + " on " + to_iso(day), day});
        }
    }
    std::stable_sort(out.begin(), out.end(), [](auto& a, auto& b) { return a.day < b.day; });
    return out;
}

Result<EventId> set_role(Context& context, const CircleView& club, const MemberId& member, MemberRole role) {
    TRY(const CircleState state, context.state_of(club.id));
    TRY(may_set_role(state, context.me.id(), member, role));
    const SetRoleBody body{member, role, state.members.at(member).level};
    return say(context, club.id, kind::set_role, codec::encode(body));
}

}  // namespace

Result<OpenMatters> open_matters(Context& context) {
    TRY(ClubPeople people, club_people(context));
    const Day today = context.today();
    OpenMatters out;
    out.club = people.club.name;
    for (const auto& [id, person] : people.all) {
        if (person.role == MemberRole::officer) out.officers.push_back(person.name);
    }
    std::sort(out.officers.begin(), out.officers.end());
    out.asks = open_asks(people, today);
    out.minors = minors_of(context, people);
    out.reviews = reviews_due(people, today);
    out.standing_pairs = static_cast<int>(people.standing.size());
    TRY(out.on_my_word, pairs_on_my_word(context, people));
    TRY(const Review all, review_of(context, std::move(people)));
    for (const ReviewPin& pin : all.pinned) out.dates.push_back({pin.name, pin.sentence, pin.day});
    out.unknown = all.unknown;
    out.as_of = all.as_of;
    return out;
}

Result<Done> make_officer(Context& context, std::string_view who) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const PersonView person, find_person(context, people.club.id, who));
    if (person.role == MemberRole::officer) {
        return Error{Fault::refused, person.name + " is an officer already; nothing was changed."};
    }
    if (person.is_minor) {
        return Error{Fault::refused,
                     person.name + " is under 18; an officer's seat is an adult's. Nothing was changed."};
    }
    TRY(const EventId id, set_role(context, people.club, person.id, MemberRole::officer));
    return Done{
        person.name +
            " is an officer now. Give them 'ladderline handover' printed; once both nodes have synced they take "
            "the pairs over with 'ladderline handover --take', and then you may step down.",
        id};
}

Result<Done> take_over_pairs(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const auto pairs, pairings(context.db, people.club.id));
    TRY(PairWords before, words_about_pairs(context.db, people.club.id));
    const std::set<Pair> standing = standing_of(people, pairs);
    std::vector<store::NewEvent> events;
    for (const PairingView& pair : pairs) {
        // What an officer ended is said again as well, or it would stand again without them.
        const bool is_over = pair.step == PairingStep::ended && pair.were_together;
        if (!is_over && !standing.contains({pair.newcomer, pair.mentor})) continue;
        const PairingBody body{pair.newcomer, pair.mentor, pair.step, pair.day};
        events.push_back({people.club.id, kind::pairing, codec::encode(body), before[{pair.newcomer, pair.mentor}]});
    }
    if (events.empty()) return Done{"No pair stands, so there is none to take over.", {}};
    TRY(const auto ids, context.log.append(events, context.now()));
    context.news(people.club.id);
    return Done{"Taken over: " + std::to_string(standing.size()) + (standing.size() == 1 ? " pair" : " pairs") +
                    ", each with its own day.",
                ids.back()};
}

Result<Done> step_down(Context& context, MemberRole seat) {
    TRY(const ClubPeople people, club_people(context));
    if (seat != MemberRole::mentor && seat != MemberRole::second_adult) {
        return Error{Fault::bad_input, "An officer goes on as mentor or second-adult; nothing was changed."};
    }
    const auto officers = std::count_if(people.all.begin(), people.all.end(),
                                        [](auto& one) { return one.second.role == MemberRole::officer; });
    if (officers == 1) {
        return Error{Fault::refused,
                     "You are this club's only officer: give somebody the seat first, with 'ladderline handover --to "
                     "NAME'. Nothing was changed."};
    }
    TRY(const int resting, pairs_on_my_word(context, people));
    if (resting > 0) {
        return Error{Fault::refused,
                     std::to_string(resting) + (resting == 1 ? " pair rests" : " pairs rest") +
                         " on your word alone and would change without it: let another officer take them "
                         "over with 'ladderline handover --take', and sync. Nothing was changed."};
    }
    TRY(const EventId id, set_role(context, people.club, people.me.id, seat));
    return Done{"You are no officer of " + people.club.name +
                    " any more, with thanks. What your node holds of its list stays there; the review is for the "
                    "officers.",
                id};
}

}  // namespace ladderline::node
