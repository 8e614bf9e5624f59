#pragma once
// Would anybody rather swap?
// Source: Gale & Shapley, Am. Math. Monthly 69 (1962).

#include <cstddef>
#include <cstdint>
#include <vector>

#include "node/domain/pairing/assignment.hpp"

namespace ladderline::domain {

// A candidate pair as both sides rank it; smaller is better.
struct RankedPair {
    std::uint32_t mentor = 0;
    std::int32_t newcomer_rank = 0;  // of this mentor for the newcomer
    std::int32_t mentor_rank = 0;    // of this newcomer for the mentor
};

struct PreferenceProblem {
    std::vector<std::int32_t> places;                  // by mentor
    std::vector<std::vector<RankedPair>> preferences;  // by newcomer
};

// Both sides rank by the one cost.
PreferenceProblem by_cost(const PairingProblem& problem);

// Pairs (i, j) with i better off with j than now (or now without a mentor), and j with a place left or holding somebody
// it ranks strictly lower. 0: stable. O(edges).
std::size_t count_blocking_pairs(const PreferenceProblem& problem, const std::vector<std::int32_t>& mentor_of);

}  // namespace ladderline::domain
