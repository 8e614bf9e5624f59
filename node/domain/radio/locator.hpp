#pragma once
// Maidenhead locators: places on the Earth as 4, 6 or 8 characters.
//   field      A-R twice   20 degrees of longitude by 10 of latitude, from 180 W and 90 S
//   square     0-9 twice   2 degrees by 1
//   sub-square a-x twice   5 minutes by 2.5
//   extended   0-9 twice   30 seconds by 15
// Longitude comes first in every pair. A locator stands for its whole cell; its value is the centre.

#include <cstdint>
#include <string>
#include <string_view>

#include "protocol/base/result.hpp"

namespace ladderline::domain {

// Degrees; north and east are positive. Latitude -90 to 90, longitude any (taken modulo 360).
struct Position {
    double latitude_deg = 0;
    double longitude_deg = 0;
    bool operator==(const Position&) const = default;
};

// How many characters a locator has.
enum class LocatorLength : std::uint8_t { four = 4, six = 6, eight = 8 };

class Locator {
public:
    // Reads 4, 6 or 8 characters in either case. bad_input: another length, or a character out of range, in which case
    // the sentence names its place, counted from 1.
    static Result<Locator> parse(std::string_view text);

    // The cell that holds the position; floors at each level, never rounds. 180 E is 180 W; 90 N belongs to the last
    // row of cells. bad_input: a latitude beyond the poles, or a number that is not finite.
    static Result<Locator> of(Position position, LocatorLength length);

    // As it is usually written: "JN58td25".
    const std::string& text() const { return text_; }
    LocatorLength length() const { return static_cast<LocatorLength>(text_.size()); }

    Position centre() const;
    Position south_west() const;
    double width_deg() const;   // of longitude
    double height_deg() const;  // of latitude

    // The coarser locator that holds this one; a length that is not shorter gives the same locator.
    Locator cut_to(LocatorLength length) const;

    bool operator==(const Locator&) const = default;

private:
    explicit Locator(std::string text) : text_(std::move(text)) {}

    std::string text_;
};

}  // namespace ladderline::domain
