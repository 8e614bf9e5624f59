#pragma once
// What a pair costs: 1000 (1 - sum w s), rounded, over six parts with printed weights. 0 is a perfect match.

#include <array>
#include <cstdint>
#include <string_view>

#include "node/domain/pairing/person.hpp"
#include "protocol/base/result.hpp"

namespace ladderline::domain {

//   common time     s = min(1, weekly minutes / 120)
//   distance        s = exp(-km / 50), at least 0.6 when both accept remote help; unknown: 0 or 0.6
//   bands, modes    s = |A and B| / |A or B|; 0.5 if neither names any
//   goals           likewise
//   language        s = 1 if the newcomer's preferred language is common to both, 0.5 for another, 0 for none
//   class above     s = 1 if the mentor's class is one or two steps above the newcomer's, else 0
enum class CostPart : std::uint8_t { common_time, distance, bands_and_modes, goals, language, class_above };
inline constexpr std::size_t cost_parts = 6;

std::string_view label_of(CostPart part);

// By CostPart.
struct PairWeights {
    std::array<double, cost_parts> of{0.30, 0.20, 0.20, 0.15, 0.10, 0.05};
};

// bad_input unless all weights are at least 0 and their sum is 1 (within 1e-9).
Result<void> check(const PairWeights& weights);

struct PairCost {
    std::array<double, cost_parts> match{};        // s, 0 to 1
    std::array<double, cost_parts> points_lost{};  // 1000 w (1 - s)
    std::int32_t cost = 0;                         // their rounded sum, 0 to 1000
};

// Precondition: check(weights) is ok.
PairCost cost_of_pair(const PairingNewcomer& newcomer, const PairingMentor& mentor, const PairFacts& facts,
                      const PairWeights& weights = {});

}  // namespace ladderline::domain
