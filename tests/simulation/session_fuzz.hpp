#pragma once
// One side of a session says what it would say, with fields changed, messages dropped, doubled or put in another order.
// The other must end in equality or with a clean refusal, never with more memory than it may take; and afterwards an
// honest session makes both equal.

#include <string>

#include "tests/simulation/dice.hpp"

namespace ladderline::simulation {

struct FuzzedSession {
    std::string wrong;  // empty: all is well
    bool refused = false;
    bool equal = false;  // the two found themselves equal all the same
    std::size_t changed = 0;
};

FuzzedSession fuzz_session(std::uint64_t seed);

}  // namespace ladderline::simulation
