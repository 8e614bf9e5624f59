#pragma once
// The people of a club in the numbers of the pairing problem; used by the pairing commands alone.

#include "node/commands/pair_state.hpp"
#include "node/domain/meeting/common_times.hpp"
#include "node/domain/pairing/candidates.hpp"
#include "node/domain/pairing/second_adults.hpp"
#include "node/domain/radio/locator.hpp"

namespace ladderline::node {

// What the facts about a pair are worked out from.
struct Whereabouts {
    std::optional<std::vector<domain::TimeSpan>> times;  // over the next weeks; none: no weekly times, or no zone
    std::optional<domain::Locator> locator;
};

// Who is in the table: newcomers without a mentor, or those with one as well. Who rests is in neither, and nobody who
// has been asked and has not answered.
enum class Tabled : std::uint8_t { without_mentor, everybody };

// Points into the two that it was made of.
struct PairTables {
    const ClubPeople* people = nullptr;
    const PairState* state = nullptr;
    Day today;
    std::vector<const ClubNewcomer*> newcomers;                 // in the order in which they are served
    std::vector<const PersonView*> mentors;                     // by id
    std::vector<std::vector<protocol::MemberId>> not_taken_up;  // by newcomer: mentors with whom it did not come about
    std::vector<domain::PairingNewcomer> newcomer_facts;
    std::vector<domain::PairingMentor> mentor_facts;  // places: free ones, less what is proposed already
    std::vector<Whereabouts> newcomer_places;
    std::vector<Whereabouts> mentor_places;
    std::vector<std::string> gate;          // by newcomer: why nothing may be agreed for them yet; empty if it may
    std::vector<std::int32_t> present;      // by newcomer: the mentor they are with; domain::nobody
    std::vector<const PersonView*> adults;  // who may stand beside a pair of somebody under 18
    domain::SecondAdults second;
    // With everybody in it, places are the free ones and those of the present pairs, and these are never ruled out:
    // nobody is parted because a card changed.
    domain::PairingTable table;

    domain::PairFacts facts(std::size_t newcomer, std::size_t mentor) const;
    const std::string& mentor_name(std::int32_t mentor) const {
        return mentors[static_cast<std::size_t>(mentor)]->name;
    }
    bool needs_adults() const;
    std::int32_t number_of(const protocol::MemberId& mentor) const;  // domain::nobody if they take no newcomers
};
PairTables pair_tables(Context& context, const ClubPeople& people, const PairState& state, Tabled who);

// The proposal: mentors first, then a second adult for each pair that needs one.
struct Proposed {
    PairTables tables;  // its table holds no pair any more that found no second adult
    domain::Assignment assignment;
    std::vector<std::int32_t> adult_of;  // by newcomer, a number in `adults`; domain::nobody
    std::vector<domain::UnsettledPair> unsettled;
};
// Its proof of being the best is checked.
Proposed solve_proposal(Context& context, const ClubPeople& people, const PairState& state);

// "German, English" of the two, in the newcomer's order; empty if one of them has not said.
std::string common_languages(const PairTables& tables, std::size_t newcomer, std::size_t mentor);

}  // namespace ladderline::node
