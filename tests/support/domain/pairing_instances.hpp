#pragma once
// Pairing problems from a number, so that no file is needed: mentors and newcomers at random places of a square map,
// each newcomer with K candidates whose cost grows with the distance. Random numbers: SplitMix64 (Steele, Lea & Flood
// 2014); below(n) is the next number modulo n.

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <vector>

#include "node/domain/pairing/assignment.hpp"

namespace ladderline::test {

class SplitMix {
public:
    explicit SplitMix(std::uint64_t seed) : state_(seed) {}

    std::uint64_t next() {
        state_ += 0x9E3779B97F4A7C15u;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
        return z ^ (z >> 31);
    }
    std::int32_t below(std::uint64_t n) { return static_cast<std::int32_t>(next() % n); }

private:
    std::uint64_t state_;
};

// Places 3 to 8 a mentor; costs 0 to 1000.
inline domain::PairingProblem generated_pairing(std::size_t newcomers, std::size_t mentors, std::size_t candidates,
                                                std::uint64_t seed) {
    SplitMix random{seed};
    domain::PairingProblem out;
    std::vector<std::int32_t> x(mentors);
    std::vector<std::int32_t> y(mentors);
    for (std::size_t j = 0; j < mentors; ++j) out.places.push_back(3 + random.below(6));
    for (auto& value : x) value = random.below(10000);
    for (auto& value : y) value = random.below(10000);
    for (std::size_t i = 0; i < newcomers; ++i) {
        const std::int32_t own_x = random.below(10000);
        const std::int32_t own_y = random.below(10000);
        std::vector<bool> is_seen(mentors, false);
        std::vector<domain::PairArc> arcs;
        while (arcs.size() < candidates) {
            const auto j = static_cast<std::uint32_t>(random.below(mentors));
            if (is_seen[j]) continue;
            is_seen[j] = true;
            const std::int32_t distance = std::abs(own_x - x[j]) + std::abs(own_y - y[j]);
            arcs.push_back({j, std::min(1000, distance / 25 + random.below(200))});
        }
        out.candidates.push_back(std::move(arcs));
    }
    return out;
}

}  // namespace ladderline::test
