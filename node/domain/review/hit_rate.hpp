#pragma once
// How well the club's own list did: of those it named, how many left; of those who left, how many it had named. No
// share is claimed before ten have left.

#include <cstddef>
#include <optional>

namespace ladderline::domain {

inline constexpr std::size_t leavers_for_a_share = 10;

struct HitCounts {
    std::size_t listed = 0;
    std::size_t left = 0;
    std::size_t listed_and_left = 0;  // at most either of the others
};

struct HitRate {
    std::optional<double> left_of_listed;
    std::optional<double> listed_of_left;
};

inline HitRate hit_rate(const HitCounts& counts) {
    HitRate out;
    if (counts.left < leavers_for_a_share) return out;
    const auto both = static_cast<double>(counts.listed_and_left);
    if (counts.listed > 0) out.left_of_listed = both / static_cast<double>(counts.listed);
    out.listed_of_left = both / static_cast<double>(counts.left);
    return out;
}

}  // namespace ladderline::domain
