#pragma once
// Pairing newcomers without parting those who are together.

#include "node/domain/pairing/assignment.hpp"

namespace ladderline::domain {

struct KeptPairing {
    std::vector<std::int32_t> mentor_of;  // by newcomer, those kept among them
    PairingTotals totals;                 // of all of it, in the whole problem
    std::vector<std::uint32_t> not_kept;  // were together, but may not be any more (no candidate, or no place)
    // What the optimum over everybody would do beyond that: more pairs, points of cost saved, people who would change.
    std::int64_t more_paired = 0;
    std::int64_t saves = 0;  // points; of pair and load cost, only while more_paired is 0
    std::size_t moves = 0;   // of those who are together now
};
// `present`: by newcomer, with whom they are now, or `nobody`; of more than a mentor has places the first ones stay.
KeptPairing solve_keeping(const PairingProblem& problem, const std::vector<std::int32_t>& present);

}  // namespace ladderline::domain
