#pragma once
// How long a consent is given for: a guardian's on a path, and anybody's to stand in the club's list.

#include <cstdint>

namespace ladderline::node {

inline constexpr std::int32_t consent_days = 365;      // where nobody has chosen a day
inline constexpr std::int32_t consent_days_max = 731;  // two years, one of them a leap year

}  // namespace ladderline::node
