#pragma once
// A dishonest member: holds the keys of a device of the circle and writes whatever they like with them.

#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

void do_evil(World& world, const Step& step);

}  // namespace ladderline::simulation
