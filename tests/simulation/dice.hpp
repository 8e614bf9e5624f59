#pragma once
// The one source of chance of a simulation: the same number gives the same run, on every machine.

#include <string>

#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::simulation {

class Dice : public test::SeededRandom {
public:
    using SeededRandom::SeededRandom;

    // 0 .. count - 1; 0 if there is nothing to choose from. The bias is below count / 2^64.
    std::size_t below(std::size_t count) { return count == 0 ? 0 : static_cast<std::size_t>(next() % count); }
    bool chance(unsigned percent) { return below(100) < percent; }
    // Precondition: not empty.
    template <class Container>
    auto& pick(Container& all) {
        return all[below(all.size())];
    }
};

inline std::uint64_t mixed(std::uint64_t a, std::uint64_t b) {
    return Dice(a ^ Dice(b).next()).next();
}

// A hash over everything that happened, in order: two runs that differ anywhere differ here.
class Trace {
public:
    void add(std::uint64_t value) { state_ = mixed(state_, value); }
    void add(ByteView bytes) {
        std::uint64_t hash = 0xcbf29ce484222325ULL;  // FNV-1a, 64 bits
        for (const std::uint8_t b : bytes) hash = (hash ^ b) * 0x100000001b3ULL;
        add(hash);
    }
    std::uint64_t value() const { return state_; }

private:
    std::uint64_t state_ = 1;
};

}  // namespace ladderline::simulation
