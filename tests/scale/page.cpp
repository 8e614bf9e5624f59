#include "tests/scale/page.hpp"

#include <array>
#include <cmath>
#include <cstdio>

namespace ladderline::scale {
namespace {

std::string digits(double value) {
    char out[64];
    std::snprintf(out, sizeof out, value < 10 ? "%.1f" : "%.0f", value);
    return out;
}

}  // namespace

void Page::row(const std::vector<std::string>& cells) {
    out_ += "|";
    for (const std::string& cell : cells) out_ += " " + cell + " |";
    out_ += "\n";
}

std::string bytes_words(double bytes) {
    constexpr std::array<const char*, 6> units{"B", "kB", "MB", "GB", "TB", "PB"};
    std::size_t unit = 0;
    while (bytes >= 1000 && unit + 1 < units.size()) {
        bytes /= 1000;
        ++unit;
    }
    return (unit == 0 ? std::to_string(std::llround(bytes)) : digits(bytes)) + " " + units[unit];
}

std::string time_words(double seconds) {
    if (seconds < 90) return digits(seconds) + " s";
    if (seconds < 90 * 60) return digits(seconds / 60) + " min";
    if (seconds < 36 * 3600) return digits(seconds / 3600) + " h";
    return digits(seconds / 86'400) + " d";
}

std::string share_words(double share) {
    return digits(100 * share) + " %";
}

}  // namespace ladderline::scale
