#pragma once
// The pairing that leaves nobody with a worse match than needed.

#include "node/domain/pairing/assignment.hpp"

namespace ladderline::domain {

struct FairPairing {
    std::int32_t worst_cost = 0;  // the least for which as many can be paired as at all; no pair is dearer
    Assignment assignment;        // least total among those; optimal and certified for `problem`
    PairingProblem problem;       // what is left when dearer pairs are struck out
};
// First as many pairs as possible, then the least worst cost (by bisection, each step one largest matching), then the
// least total.
FairPairing solve_fair(const PairingProblem& problem);

}  // namespace ladderline::domain
