#pragma once
// A dishonest member: holds the keys of a device of the circle and writes whatever they like with them.

#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

// How many ways there are. New ones come last, so that a seed that once went wrong still means the same network if it
// is told how many there were.
inline constexpr std::size_t ways_to_lie = 17;

void do_evil(World& world, const Step& step);

}  // namespace ladderline::simulation
