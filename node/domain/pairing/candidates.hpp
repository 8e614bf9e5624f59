#pragma once
// From people to a pairing problem, and from its answer back to reasons.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "node/domain/pairing/assignment.hpp"
#include "node/domain/pairing/hard_rules.hpp"
#include "node/domain/pairing/pair_cost.hpp"

namespace ladderline::domain {

struct Candidate {
    std::uint32_t mentor = 0;
    PairCost cost;
};

struct RuledOut {
    std::uint32_t mentor = 0;
    WhyNots reasons;  // not empty
};

// Every mentor is in exactly one of the two, by mentor number.
struct Choices {
    std::vector<Candidate> candidates;
    std::vector<RuledOut> ruled_out;
};

struct PairingTable {
    std::vector<Choices> choices;  // by newcomer
    PairingProblem problem;
};

// Who comes first, then longest waiting, then by id: the order in which newcomers are served among equals.
void sort_by_waiting(std::vector<PairingNewcomer>& newcomers);

// What is known of newcomer i and mentor j, by their places in the two lists.
using PairFactsOf = std::function<PairFacts(std::size_t newcomer, std::size_t mentor)>;

// Precondition: newcomers in the order of sort_by_waiting; check(weights) is ok; load_step >= 0.
PairingTable build_pairing(std::span<const PairingNewcomer> newcomers, std::span<const PairingMentor> mentors,
                           const PairFactsOf& facts_of, const HardRules& rules, const PairWeights& weights = {},
                           std::int32_t load_step = 20);

// Why this mentor.
struct Alternative {
    std::uint32_t mentor = 0;
    std::int32_t cost = 0;
    // Where the alternative loses points that the chosen mentor does not, largest loss first.
    std::vector<CostPart> lacks;
};

// "The best for you alone was X, whose places went to people for whom the alternative would cost more."
struct BetterElsewhere {
    std::uint32_t mentor = 0;
    std::int32_t cost = 0;
    std::int64_t fewer_paired = 0;  // people who would be left without a mentor if the pair were insisted on; 0 or 1
    // By how much the objective would rise then; >= 0. Points of cost for showing only while fewer_paired is 0, else it
    // holds the price of staying out too.
    std::int64_t price = 0;
};

struct WhyThisMentor {
    PairCost cost;
    std::vector<Alternative> next_best;         // up to two, not better than the chosen one
    std::optional<BetterElsewhere> best_alone;  // none if the chosen mentor costs least for this newcomer
};

// None if the newcomer is without a mentor.
std::optional<WhyThisMentor> why_this_mentor(const PairingTable& table, const Assignment& assignment,
                                             std::uint32_t newcomer);

}  // namespace ladderline::domain
