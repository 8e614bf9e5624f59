#pragma once
// A second adult for every pair of a newcomer under age. Mentor and second adult chosen together is three-sided
// matching, which is NP-hard (Garey & Johnson, 1979, SP1), so it is done one after the other and is not a joint
// optimum.

#include "node/domain/pairing/assignment.hpp"

namespace ladderline::domain {

struct SecondAdults {
    std::vector<std::int32_t> places;                // by adult: how many newcomers they can stand beside
    std::vector<std::vector<std::uint32_t>> may_be;  // by newcomer: adults who may; empty: needs none
    std::vector<std::int32_t> adult_of_mentor;       // by mentor: the same person as an adult, or `nobody`
};

struct UnsettledPair {
    std::uint32_t newcomer = 0;
    std::uint32_t mentor = 0;
    bool operator==(const UnsettledPair&) const = default;
};

struct PairingWithAdults {
    Assignment assignment;                  // certified for the problem less the pairs struck out on the way
    std::vector<std::int32_t> adult_of;     // by newcomer; `nobody` for those who need or got none
    std::vector<UnsettledPair> unsettled;   // pairs still without a second adult after the last round: for people
    std::vector<UnsettledPair> struck_out;  // pairs that found no second adult on the way
    PairingProblem problem;                 // less those: what `assignment` is optimal for
    std::int32_t rounds = 0;
};

// The best pairing; then second adults for as many of its pairs as possible; a pair left without one is struck out and
// the pairing made again, at most `rounds_max` times. Nobody is their own second adult.
PairingWithAdults solve_with_adults(const PairingProblem& problem, const SecondAdults& adults,
                                    std::int32_t rounds_max = 20);

}  // namespace ladderline::domain
