#pragma once
// The real clock and the real randomness. Only node/app reads them.

#include "node/app/env.hpp"

namespace ladderline::node {

class SystemClock : public Clock {
public:
    WallTime wall() override;
    MonoTime monotonic() override;
};

// getrandom(2); a machine that cannot give randomness ends the process.
class SystemRandom : public Random {
public:
    void fill(MutableByteView out) override;
};

}  // namespace ladderline::node
