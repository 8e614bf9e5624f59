#include "node/commands/pairing.hpp"

#include <algorithm>

#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/read_models/pair_steps.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

Result<const ClubNewcomer*> find_newcomer(Context& context, const ClubPeople& people, std::string_view who) {
    TRY(const PersonView person, find_person(context, people.club.id, who));
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.person.id == person.id) return &newcomer;
    }
    return Error{Fault::bad_input,
                 person.name + " is in the club as " + std::string(role_word(person.role)) + ", not as a newcomer."};
}

std::optional<PairingView> find_pair(const std::vector<PairingView>& pairs, const MemberId& newcomer,
                                     const MemberId& mentor) {
    for (const PairingView& pair : pairs) {
        if (pair.newcomer == newcomer && pair.mentor == mentor) return pair;
    }
    return std::nullopt;
}

Result<std::map<MemberId, std::string>> names_in(Context& context, const CircleId& club) {
    std::map<MemberId, std::string> out;
    TRY(const auto persons, people(context.db, club));
    for (const PersonView& person : persons) out[person.id] = person.name;
    return out;
}

std::string name_in(const std::map<MemberId, std::string>& names, const MemberId& id) {
    const auto found = names.find(id);
    return found == names.end() ? "somebody who left the club" : found->second;
}

// How it ended, where that was said: a hand-over with its thanks, or a mentor who could not be reached.
void add_ending(const PairState& state, const PairingView& pair, const std::map<MemberId, std::string>& names,
                PairOfMine& out) {
    for (const PairingWordView& word : state.words) {
        if (word.what.newcomer != pair.newcomer || word.what.mentor != pair.mentor || word.what.day != pair.day) {
            continue;
        }
        if (word.what.word == PairingWord::out_of_reach) out.out_of_reach = true;
        if (word.what.word != PairingWord::handed_over) continue;
        out.thanks = word.what.thanks;
        if (word.what.next) out.handed_to = name_in(names, *word.what.next);
    }
}

PairOfMine pair_of_mine(Context& context, const PairState& state, const PairingView& pair,
                        const std::map<MemberId, std::string>& names) {
    PairOfMine out;
    out.as_mentor = pair.mentor == context.me.id();
    out.other = out.as_mentor ? pair.newcomer : pair.mentor;
    out.other_name = name_in(names, out.other);
    out.step = pair.step;
    out.since = pair.day;
    out.i_said_yes = out.as_mentor ? pair.mentor_said_yes : pair.newcomer_said_yes;
    out.they_said_yes = out.as_mentor ? pair.newcomer_said_yes : pair.mentor_said_yes;
    out.noted_apart = state.kept_apart(pair.newcomer, pair.mentor);
    if (pair.step == PairingStep::agreed) {
        out.next_review = domain::next_review(pair.day, context.today() + -1, domain::shipped_clocks());
        out.review = review_now(state, pair, context.today());
    }
    if (pair.step == PairingStep::ended) add_ending(state, pair, names, out);
    return out;
}

}  // namespace

Result<Done> agree_pair(Context& context, std::string_view newcomer_name, std::string_view mentor_name) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const ClubNewcomer* newcomer, find_newcomer(context, people, newcomer_name));
    TRY(const PersonView mentor, find_mentor(context, people.club.id, mentor_name));
    for (const PairingView& pair : people.standing) {
        if (pair.newcomer != newcomer->person.id) continue;
        if (pair.mentor == mentor.id) {
            return Error{Fault::refused, newcomer->person.name + " and " + mentor.name + " are paired already, since " +
                                             to_iso(pair.day) + "."};
        }
        return Error{Fault::refused, newcomer->person.name + " is with " + people.name_of(pair.mentor) +
                                         "; end that pairing first, then agree the new one."};
    }
    // An officer who is asked answers for themselves alone: the newcomer still says yes.
    TRY(const PairState state, pair_state(context, people.club.id));
    const PairingView* asked = state.find(newcomer->person.id, mentor.id);
    if (mentor.id == people.me.id && asked != nullptr && asked->step == PairingStep::proposed) {
        return answer_pair(context, newcomer_name, true);
    }
    TRY(adults_on_path(context, *newcomer));
    const PairingBody body{newcomer->person.id, mentor.id, PairingStep::agreed, context.today()};
    TRY(PairWords before, words_about_pairs(context.db, people.club.id));
    TRY(const EventId id,
        say(context, people.club.id, kind::pairing, codec::encode(body), before[{newcomer->person.id, mentor.id}]));
    std::string sentence = newcomer->person.name + " and " + mentor.name + " are paired from today.";
    if (free_places_of(people, mentor) == 0)
        sentence += " " + mentor.name + " had no free place left; ask how they are.";
    return Done{sentence, id};
}

Result<Done> end_pair(Context& context, std::string_view newcomer_name, std::string_view mentor_name) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PersonView me, myself(context, club.id));
    TRY(const PersonView newcomer, find_person(context, club.id, newcomer_name));
    TRY(const PersonView mentor, find_person(context, club.id, mentor_name));
    if (me.role != MemberRole::officer && me.id != newcomer.id && me.id != mentor.id) {
        return Error{Fault::refused, "A pairing is ended by one of the two, or by an officer."};
    }
    TRY(const auto pairs, pairings(context.db, club.id));
    const auto pair = find_pair(pairs, newcomer.id, mentor.id);
    if (!pair || pair->step != PairingStep::agreed) {
        return Error{Fault::not_found, newcomer.name + " and " + mentor.name + " are not paired; nothing was stored."};
    }
    const PairingBody body{newcomer.id, mentor.id, PairingStep::ended, context.today()};
    TRY(PairWords before, words_about_pairs(context.db, club.id));
    TRY(const EventId id, say(context, club.id, kind::pairing, codec::encode(body), before[{newcomer.id, mentor.id}]));
    return Done{"The pairing of " + newcomer.name + " and " + mentor.name +
                    " has ended, with thanks to both. No reason is kept.",
                id};
}

Result<std::vector<PairOfMine>> my_pairings(Context& context) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PairState state, pair_state(context, club.id));
    const auto open = state.open();
    std::map<MemberId, std::string> names;
    std::vector<PairOfMine> out;
    for (const PairingView& pair : state.pairs) {
        if (pair.mentor != context.me.id() && pair.newcomer != context.me.id()) continue;
        const bool is_open = std::any_of(open.begin(), open.end(), [&](const PairingView& one) {
            return one.newcomer == pair.newcomer && one.mentor == pair.mentor;
        });
        const bool is_shown =
            pair.step == PairingStep::agreed || is_open || (pair.step == PairingStep::ended && pair.were_together);
        if (!is_shown) continue;
        if (names.empty()) {
            TRY(names, names_in(context, club.id));
        }
        out.push_back(pair_of_mine(context, state, pair, names));
    }
    const auto rank = [](const PairOfMine& mine) {
        return mine.step == PairingStep::agreed ? 0 : mine.step == PairingStep::proposed ? 1 : 2;
    };
    std::stable_sort(out.begin(), out.end(),
                     [&](const PairOfMine& a, const PairOfMine& b) { return rank(a) < rank(b); });
    return out;
}

}  // namespace ladderline::node
