#include "tests/simulation/byzantine.hpp"

namespace ladderline::simulation {

void do_evil(World&, const Step&) {}

}  // namespace ladderline::simulation
