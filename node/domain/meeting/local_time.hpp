#pragma once
// Local time by the system's time zone database. An unknown zone, or a database that cannot be read, is an Error;
// nothing is thrown. The first look-up in a process reads the list of zones (about 10 ms).

#include <chrono>
#include <cstdint>
#include <string>
#include <string_view>

#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

enum class LocalKind : std::uint8_t {
    once,
    skipped,  // clocks were put forward past it
    twice,    // clocks were put back over it
};

// The instants that a local time of a civil day stands for. `once`: both are equal. `skipped`: both are the instant of
// the jump. `twice`: the first and the second time that clocks show it.
struct LocalMoment {
    LocalKind kind = LocalKind::once;
    WallTime earlier;
    WallTime later;
};

// What a clock on the wall shows at an instant.
struct LocalClock {
    Day day;
    std::int32_t minute_of_day = 0;   // 0 to 1439
    std::int32_t offset_minutes = 0;  // east of UTC, as in force then
    std::string abbreviation;         // "EST"; the database writes "+0545" where there is none
};

class Zone {
public:
    // By its name in the IANA database, "America/New_York". not_found if there is none of the name.
    static Result<Zone> find(std::string_view name);

    const std::string& name() const { return name_; }

    // Minutes after midnight, 0 to 1440; 1440 is the next day's midnight.
    LocalMoment at(Day day, std::int32_t minute_of_day) const;
    LocalClock clock_at(WallTime t) const;
    // True if clocks were changed (their offset, not the abbreviation alone) within the 7 days before t, or at t.
    bool is_after_change(WallTime t) const;

private:
    Zone(std::string name, const void* zone) : name_(std::move(name)), zone_(zone) {}

    std::string name_;
    const void* zone_;  // the library's entry, which lives as long as the process
};

// "Tue 2026-03-10 18:00 EDT"
std::string to_text(const LocalClock& clock);

}  // namespace ladderline::domain
