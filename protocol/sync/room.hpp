#pragma once
// How many logs a circle takes from others.

#include "protocol/limits.hpp"

namespace ladderline::protocol {

// A message names heads_max logs. What is beyond this is left for the devices of this store's owner and those who join
// through it. A log of which only the proof of its fork is here counts as one: it is named as they are.
inline constexpr std::size_t logs_taken_max = limits::heads_max - 1000;

}  // namespace ladderline::protocol
