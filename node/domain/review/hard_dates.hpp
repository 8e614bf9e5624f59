#pragma once
// Dates that do not move, pinned above the list of those who need help and never summed into a score.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "node/domain/licence/clocks.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

inline constexpr std::int32_t certificate_pinned_days = 60;  // so long before its last safe day a certificate is pinned

struct HardDateFacts {
    std::string id;
    // Day of the exam that gave the certificate of completion; none if there is none, or it has been used.
    std::optional<Day> certificate_exam_day;
    // Day the application was given a file number, while its fee is unpaid.
    std::optional<Day> fee_due_since;
};

struct Pin {
    std::string id;
    Day day;                     // the date itself
    std::int32_t days_left = 0;  // negative once past
    std::string sentence;
};

// The last safe day of each certificate, from `certificate_pinned_days` before it on, and the last day of each unpaid
// fee; both stay when they are past. The nearer date first, then by id.
std::vector<Pin> hard_dates(std::span<const HardDateFacts> people, const Clocks& clocks, Day today);

}  // namespace ladderline::domain
