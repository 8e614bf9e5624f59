#pragma once
// The one seam to clock and randomness. Sockets and timers are behind node/net's drivers, files behind store.

#include "protocol/base/random.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node {

struct Env {
    Clock& clock;
    Random& random;
};

}  // namespace ladderline::node
