#pragma once
// Bands by the names that logs use, and their edges. The edges classify a log entry; they are nobody's privileges.
// Source: ADIF 3.1.7, Band enumeration.

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace ladderline::domain {

// A row of the table; compare by address or by name.
struct Band {
    std::string_view name;  // "20m", "1.25cm", "submm"
    std::int64_t low_hz;    // both edges belong to the band
    std::int64_t high_hz;
};

// All bands, lowest frequency first.
std::span<const Band> all_bands();

// The band that holds the frequency, or null. No two bands overlap.
const Band* band_of(std::int64_t frequency_hz);

// By name, in either case; null if there is none.
const Band* find_band(std::string_view name);

}  // namespace ladderline::domain
