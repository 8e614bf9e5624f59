#pragma once
// Wall time, monotonic time and civil days do not convert into one another by accident.
// Nothing here reads a clock: node/app does.

#include <compare>
#include <cstdint>
#include <string>
#include <string_view>

#include "protocol/base/result.hpp"

namespace ladderline {

// Milliseconds since 1970-01-01T00:00Z as some clock said; may be wrong by years.
struct WallTime {
    std::int64_t ms = 0;
    auto operator<=>(const WallTime&) const = default;
};

// Milliseconds of a clock that never goes back; no meaning outside one run of the process.
struct MonoTime {
    std::int64_t ms = 0;
    auto operator<=>(const MonoTime&) const = default;
};

inline MonoTime operator+(MonoTime t, std::int64_t ms) {
    return {t.ms + ms};
}

// A civil date as days since 1970-01-01; for deadlines counted in days.
struct Day {
    std::int32_t number = 0;
    auto operator<=>(const Day&) const = default;
};

inline Day operator+(Day d, std::int32_t days) {
    return {d.number + days};
}
inline std::int32_t days_between(Day from, Day to) {
    return to.number - from.number;
}

class Clock {
public:
    virtual ~Clock() = default;
    virtual WallTime wall() = 0;
    virtual MonoTime monotonic() = 0;
};

// The UTC date of an instant.
Day utc_day(WallTime t);
// Midnight UTC at the start of the day.
WallTime start_of(Day day);

// "2026-11-25". Proleptic Gregorian, years 0001 to 9999.
std::string to_iso(Day day);
// "2026-11-25T19:05Z", whole minutes (seconds dropped).
std::string to_iso_minute(WallTime t);
// "2026-11-25T19:05:07Z".
std::string to_iso_second(WallTime t);

// "YYYY-MM-DD"; an impossible date is bad_input.
Result<Day> parse_day(std::string_view text);
// "YYYY-MM-DDTHH:MMZ" or with seconds; a blank may stand for T. Without the Z it is bad_input: UTC must be said.
Result<WallTime> parse_utc(std::string_view text);

}  // namespace ladderline
