#pragma once
// The one seeded generator behind every shuffle and draw of questions, so that a paper can be drawn again from its
// number on any compiler (the distributions of the standard library differ from one to the next).

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>

#include "protocol/base/ensure.hpp"
#include "protocol/base/random.hpp"

namespace ladderline::domain {

// SplitMix64 (Steele, Lea, Flood 2014). Fast and well mixed, but foreseeable: never for keys.
class SplitMix64 {
public:
    explicit SplitMix64(std::uint64_t seed) : state_(seed) {}

    std::uint64_t next() {
        state_ += 0x9E3779B97F4A7C15U;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
        return z ^ (z >> 31);
    }

private:
    std::uint64_t state_;
};

// A generator with a fresh seed; keep the seed instead where the draw must be repeatable.
inline SplitMix64 seeded_from(Random& random) {
    std::array<std::uint8_t, 8> raw{};
    random.fill(raw);
    std::uint64_t seed = 0;
    for (const std::uint8_t byte : raw) seed = seed << 8 | byte;
    return SplitMix64(seed);
}

// Uniform on 0 .. n-1 without bias (Lemire 2019). Precondition: n > 0.
inline std::uint64_t bounded(SplitMix64& generator, std::uint64_t n) {
    ENSURE(n > 0);
    __extension__ using Wide = unsigned __int128;
    const std::uint64_t threshold = (0 - n) % n;
    Wide product = static_cast<Wide>(generator.next()) * n;
    while (static_cast<std::uint64_t>(product) < threshold) product = static_cast<Wide>(generator.next()) * n;
    return static_cast<std::uint64_t>(product >> 64);
}

// All orders equally likely (Durstenfeld 1964).
template <class T, std::size_t Extent>
void shuffle(SplitMix64& generator, std::span<T, Extent> items) {
    for (std::size_t i = items.size(); i-- > 1;) {
        const auto j = static_cast<std::size_t>(bounded(generator, i + 1));
        if (i != j) std::swap(items[i], items[j]);
    }
}

}  // namespace ladderline::domain
