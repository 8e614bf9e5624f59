#include "node/commands/pairing.hpp"

#include <algorithm>

#include "node/commands/club_people.hpp"
#include "node/domain/licence/clocks.hpp"
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

Result<PersonView> find_mentor(Context& context, const ClubPeople& people, std::string_view who) {
    TRY(const PersonView person, find_person(context, people.club.id, who));
    if (person.is_minor) return Error{Fault::refused, person.name + " is under 18; a mentor is of age."};
    if (person.role != MemberRole::mentor && person.role != MemberRole::officer) {
        return Error{Fault::bad_input,
                     person.name + " is in the club as " + std::string(role_word(person.role)) + ", not as a mentor."};
    }
    return person;
}

std::optional<PairingView> find_pair(const std::vector<PairingView>& pairs, const MemberId& newcomer,
                                     const MemberId& mentor) {
    for (const PairingView& pair : pairs) {
        if (pair.newcomer == newcomer && pair.mentor == mentor) return pair;
    }
    return std::nullopt;
}

}  // namespace

Result<Done> agree_pair(Context& context, std::string_view newcomer_name, std::string_view mentor_name) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const ClubNewcomer* newcomer, find_newcomer(context, people, newcomer_name));
    TRY(const PersonView mentor, find_mentor(context, people, mentor_name));
    for (const PairingView& pair : people.standing) {
        if (pair.newcomer != newcomer->person.id) continue;
        if (pair.mentor == mentor.id) {
            return Error{Fault::refused, newcomer->person.name + " and " + mentor.name + " are paired already, since " +
                                             to_iso(pair.day) + "."};
        }
        return Error{Fault::refused, newcomer->person.name + " is with " + people.name_of(pair.mentor) +
                                         "; end that pairing first, then agree the new one."};
    }
    TRY(adults_on_path(context, *newcomer));
    const PairingBody body{newcomer->person.id, mentor.id, PairingStep::agreed, context.today()};
    TRY(const EventId id, say(context, people.club.id, kind::pairing, codec::encode(body)));
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
    TRY(const EventId id, say(context, club.id, kind::pairing, codec::encode(body)));
    return Done{"The pairing of " + newcomer.name + " and " + mentor.name +
                    " has ended, with thanks to both. No reason is kept.",
                id};
}

Result<std::vector<PairOfMine>> my_pairings(Context& context) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const auto persons, people(context.db, club.id));
    TRY(const auto pairs, pairings(context.db, club.id));
    std::vector<PairOfMine> out;
    for (const PairingView& pair : pairs) {
        const bool as_mentor = pair.mentor == context.me.id();
        if (!as_mentor && pair.newcomer != context.me.id()) continue;
        PairOfMine mine{as_mentor ? pair.newcomer : pair.mentor,
                        "somebody who left the club",
                        as_mentor,
                        pair.step,
                        pair.day,
                        std::nullopt};
        for (const PersonView& person : persons) {
            if (person.id == mine.other) mine.other_name = person.name;
        }
        if (pair.step == PairingStep::agreed) {
            mine.next_review = domain::next_review(pair.day, context.today() + -1, domain::shipped_clocks());
        }
        out.push_back(std::move(mine));
    }
    std::stable_partition(out.begin(), out.end(),
                          [](const PairOfMine& mine) { return mine.step == PairingStep::agreed; });
    return out;
}

}  // namespace ladderline::node
