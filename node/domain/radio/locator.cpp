#include "node/domain/radio/locator.hpp"

#include <array>
#include <cmath>

namespace ladderline::domain {
namespace {

// One pair of characters: `count` symbols from `first`, each step so many of the smallest cells wide.
struct Level {
    char first;
    int count;
    int step;  // smallest cells (30 seconds of longitude, 15 of latitude) in one step
};

constexpr std::array<Level, 4> levels{{{'A', 18, 2400}, {'0', 10, 240}, {'a', 24, 10}, {'0', 10, 1}}};
constexpr double smallest_width_deg = 1.0 / 120.0;
constexpr double smallest_height_deg = 1.0 / 240.0;
constexpr int cells_per_side = 18 * 2400;

char in_case_of(const Level& level, char c) {
    if (level.first == 'A' && c >= 'a' && c <= 'z') return static_cast<char>(c - 'a' + 'A');
    if (level.first == 'a' && c >= 'A' && c <= 'Z') return static_cast<char>(c - 'A' + 'a');
    return c;
}

std::string range_of(const Level& level) {
    return std::string(1, level.first) + " to " + static_cast<char>(level.first + level.count - 1);
}

int finest_step(std::size_t characters) {
    return levels[characters / 2 - 1].step;
}

}  // namespace

Result<Locator> Locator::parse(std::string_view text) {
    if (text.size() != 4 && text.size() != 6 && text.size() != 8) {
        return Error{Fault::bad_input, "The locator '" + std::string(text) + "' has " + std::to_string(text.size()) +
                                           " characters; give 4, 6 or 8, as in FN31 or FN31pr."};
    }
    std::string out;
    for (std::size_t k = 0; k < text.size(); ++k) {
        const Level& level = levels[k / 2];
        const char c = in_case_of(level, text[k]);
        if (c < level.first || c >= level.first + level.count) {
            return Error{Fault::bad_input, "Character " + std::to_string(k + 1) + " of the locator '" +
                                               std::string(text) + "' must be one of " + range_of(level) + "."};
        }
        out += c;
    }
    return Locator{std::move(out)};
}

Result<Locator> Locator::of(Position position, LocatorLength length) {
    if (!std::isfinite(position.longitude_deg) || !(std::fabs(position.latitude_deg) <= 90.0)) {
        return Error{Fault::bad_input, "A latitude must lie between -90 and 90 degrees, and a longitude be a number."};
    }
    double east = std::fmod(position.longitude_deg + 180.0, 360.0);
    if (east < 0) east += 360.0;
    const auto last = static_cast<double>(cells_per_side - 1);
    int column = static_cast<int>(std::fmin(std::floor(east * 120.0), last));
    int row = static_cast<int>(std::fmin(std::floor((position.latitude_deg + 90.0) * 240.0), last));
    std::string out;
    for (std::size_t k = 0; k < static_cast<std::size_t>(length) / 2; ++k) {
        const Level& level = levels[k];
        out += static_cast<char>(level.first + column / level.step);
        out += static_cast<char>(level.first + row / level.step);
        column %= level.step;
        row %= level.step;
    }
    return Locator{std::move(out)};
}

Position Locator::south_west() const {
    int column = 0;
    int row = 0;
    for (std::size_t k = 0; k < text_.size(); k += 2) {
        const Level& level = levels[k / 2];
        column += (text_[k] - level.first) * level.step;
        row += (text_[k + 1] - level.first) * level.step;
    }
    return {row / 240.0 - 90.0, column / 120.0 - 180.0};
}

Position Locator::centre() const {
    const Position corner = south_west();
    return {corner.latitude_deg + height_deg() / 2, corner.longitude_deg + width_deg() / 2};
}

double Locator::width_deg() const {
    return finest_step(text_.size()) * smallest_width_deg;
}

double Locator::height_deg() const {
    return finest_step(text_.size()) * smallest_height_deg;
}

Locator Locator::cut_to(LocatorLength length) const {
    return Locator{text_.substr(0, static_cast<std::size_t>(length))};
}

}  // namespace ladderline::domain
