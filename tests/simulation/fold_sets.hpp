#pragma once
// Random sets of control events, wilder than any network would make them: the fold of any order of one set is the same,
// and is what the plain reading of the rules gives.

#include <string>

#include "tests/simulation/dice.hpp"

namespace ladderline::simulation {

// Empty, or what is wrong. `plain`: also compare with the plain reading, which is slow.
std::string check_fold_set(std::uint64_t seed, bool plain);

}  // namespace ladderline::simulation
