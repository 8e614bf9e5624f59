#pragma once
// Whether groups of people differ in how long they take: last spring's class and this one's, with a mentor and without.
// Sources: Mantel, Cancer Chemother. Rep. 50 (1966); Peto & Peto, J. R. Stat. Soc. A 135 (1972), both for the weights
// and for the permutation scores.

#include <cstdint>

#include "node/domain/review/survival.hpp"

namespace ladderline::domain {

struct CohortWait {
    Wait wait;
    std::size_t group = 0;
    std::size_t stratum = 0;  // compared within it only
};

enum class TimeWeight : std::uint8_t {
    equal,  // the log-rank test
    early,  // times the share still waiting just before (Peto & Peto): early differences count more
};

struct LogRank {
    std::vector<double> observed;  // by group, weighted
    std::vector<double> expected;
    std::vector<std::vector<double>> variance;
    double chi_square = 0;
    int degrees = 0;  // groups that had anybody at risk, less one; 0: nothing to compare
    double p = 1;     // chance of a difference at least as large where there is none
};
// O(n log n + n groups^2). Precondition: groups of all waits < `groups`; days finite and >= 0.
LogRank log_rank(std::span<const CohortWait> waits, std::size_t groups, TimeWeight weight = TimeWeight::equal);

// Below so many events in all the chi-square is not to be trusted, and permutations are counted instead.
inline constexpr std::size_t log_rank_events_min = 20;

struct PermutationTest {
    double score = 0;            // sum over group 0 of (event - cumulated hazard of all); below 0: group 0 is slower
    std::uint64_t as_large = 0;  // of the permutations looked at, at least as far from 0
    std::uint64_t looked_at = 0;
    bool exact = false;  // every one was looked at
    double p() const { return static_cast<double>(as_large) / static_cast<double>(looked_at); }
};
// Two groups, 0 and 1; strata are not looked at. Every way to draw group 0 where there are at most two million, else
// 100,000 at random from a fixed seed, so that the same people give the same figure.
PermutationTest permutation_test(std::span<const CohortWait> waits);

}  // namespace ladderline::domain
