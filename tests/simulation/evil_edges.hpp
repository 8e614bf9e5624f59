#pragma once
// A dishonest member whose numbers are the smallest and the largest that decode.

#include "tests/simulation/evil_log.hpp"

namespace ladderline::simulation {

// What the member says, in a log that may end in one; proofs that logs forked which nobody has, as far up as a log can
// be numbered.
void numbers_at_the_edge(EvilSeat& seat);

}  // namespace ladderline::simulation
