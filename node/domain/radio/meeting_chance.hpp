#pragma once
// Whether two stations are likely to hear one another, as far as that can be said beforehand. From 30 MHz up the
// straight way decides: radio horizon and strength in free space. Below, the light at both ends at the time. A chance,
// never a promise and no forecast.

#include <optional>
#include <string>
#include <vector>

#include "node/domain/radio/locator.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

// One end; what is not known is assumed and said.
struct StationEnd {
    std::string name;
    std::optional<Locator> locator;
    std::optional<double> height_m;  // of the antenna above the ground around it, 0 to 20,000
};

struct ChanceAsk {
    StationEnd one;
    StationEnd other;
    double frequency_mhz = 0;
    std::optional<double> power_w;  // of the weaker transmitter
    WallTime start;
};

enum class ChanceKind : std::uint8_t { not_known, good, fair, poor, by_light };

struct Chance {
    ChanceKind kind = ChanceKind::not_known;
    std::optional<double> distance_km;
    std::optional<double> horizon_km;
    std::optional<double> margin_db;  // above what a voice receiver needs, in free space
    std::vector<std::string> sentences;
};
// bad_input: a frequency, power or height out of range, in one sentence.
Result<Chance> chance_of(const ChanceAsk& ask);

}  // namespace ladderline::domain
