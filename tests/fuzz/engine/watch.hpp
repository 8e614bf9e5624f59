#pragma once
// Counts what operator new gives out, and stops the run at the door's bounds.

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {

// Knocks once under the bounds. A breach of them, memory that is not given back, or an exception ends the process like
// a crash.
void knock_watched(const Door& door, ByteView input);

}  // namespace ladderline::fuzz
