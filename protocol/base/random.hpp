#pragma once
// Randomness is an argument everywhere below node/app, so that whole networks replay from a number.

#include "protocol/base/bytes.hpp"

namespace ladderline {

class Random {
public:
    virtual ~Random() = default;
    // Fills `out`. The production source is the system's; tests pass a seeded one.
    virtual void fill(MutableByteView out) = 0;

    template <class Fixed>
    Fixed draw() {
        Fixed out;
        fill(out.mutable_view());
        return out;
    }
};

}  // namespace ladderline
