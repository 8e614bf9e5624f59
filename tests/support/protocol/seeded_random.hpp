#pragma once
// A random source that replays from a number (SplitMix64). Never for keys of people.

#include "protocol/base/random.hpp"

namespace ladderline::test {

class SeededRandom : public Random {
public:
    explicit SeededRandom(std::uint64_t seed) : state_(seed) {}

    std::uint64_t next() {
        state_ += 0x9E3779B97F4A7C15ULL;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    void fill(MutableByteView out) override {
        for (std::uint8_t& b : out) b = static_cast<std::uint8_t>(next() >> 56);
    }

private:
    std::uint64_t state_;
};

}  // namespace ladderline::test
