#pragma once
// What would change: one more place, or a pair that is insisted on. Each is one shortest path in the residual network
// of a solved problem, with the solution's own prices, so the answers are exact.

#include <cstdint>
#include <optional>
#include <vector>

#include "node/domain/pairing/assignment.hpp"

namespace ladderline::domain {

struct PairMove {
    std::uint32_t newcomer = 0;
    std::int32_t from = nobody;
    std::int32_t to = nobody;
    bool operator==(const PairMove&) const = default;
};

struct PairingChange {
    PairingTotals totals;         // after the change
    std::vector<PairMove> moves;  // who changes; empty if nothing does
};

// The best pairing if this mentor had one more place. Precondition: `assignment` is optimal for `problem`.
PairingChange one_more_place(const PairingProblem& problem, const Assignment& assignment, std::uint32_t mentor);

// The best pairing in which this newcomer is with this mentor; none if the pair is no candidate or the mentor has no
// place. totals.objective less that of `assignment` is the exact price of insisting.
std::optional<PairingChange> insist_on(const PairingProblem& problem, const Assignment& assignment,
                                       std::uint32_t newcomer, std::uint32_t mentor);

}  // namespace ladderline::domain
