#pragma once
// When two people (or three) can meet: weekly windows in each one's own time zone, laid on the line of instants, cut
// with one another, and offered as starts. Windows keep their local time when clocks change; the common time may
// therefore move.

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "node/domain/meeting/local_time.hpp"
#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

enum class Weekday : std::uint8_t { sunday, monday, tuesday, wednesday, thursday, friday, saturday };

// A window of every week in local time. An end at or before the start lies past midnight, on the next day.
struct WeeklyWindow {
    Weekday weekday = Weekday::sunday;
    std::int32_t start_minute = 0;  // 0 to 1439 after local midnight
    std::int32_t end_minute = 0;    // 0 to 1440
};

// from < to.
struct TimeSpan {
    WallTime from;
    WallTime to;
    bool operator==(const TimeSpan&) const = default;
    std::int64_t minutes() const { return (to.ms - from.ms) / 60'000; }
};

struct Availability {
    std::string zone;  // IANA name
    std::vector<WeeklyWindow> windows;
};

// The windows as instants, from `first` 00:00 UTC on for `days` days (0 to 3660), sorted, overlapping ones merged. Each
// local date from the day before the range to the day after it is looked at, and the result is cut to the range. A
// local time that clocks skip is the instant of the jump; of one that comes twice, a start takes the earlier and an end
// the later, so that a window may be an hour longer there but never shorter. not_found: the zone; bad_input: a time out
// of range.
Result<std::vector<TimeSpan>> to_instants(const Availability& availability, Day first, std::int32_t days);

// What lies in both, kept where it is at least `minutes_min` long. Precondition: both sorted and without overlap; so is
// the result, and a third person is one more call. O(a + b).
std::vector<TimeSpan> common_spans(std::span<const TimeSpan> a, std::span<const TimeSpan> b, std::int64_t minutes_min);

// Both sides' windows over the range, of at least `minutes_min`.
Result<std::vector<TimeSpan>> common_times(const Availability& a, const Availability& b, Day first, std::int32_t days,
                                           std::int64_t minutes_min);

// Common minutes a week over the four weeks from `first`.
Result<double> weekly_common_minutes(const Availability& a, const Availability& b, Day first);

// Starts to propose: in each span the first multiple of 30 minutes UTC that leaves room for `minutes` and meets no
// taken time, until `count` are found. Precondition: spans sorted; minutes > 0.
std::vector<WallTime> propose_starts(std::span<const TimeSpan> spans, std::span<const TimeSpan> taken,
                                     std::int64_t minutes, std::size_t count);

// A start as both see it.
struct ProposedStart {
    WallTime start;
    LocalClock for_a;
    LocalClock for_b;
    bool is_after_change = false;  // clocks of either side were changed within the 7 days before
};

Result<std::vector<ProposedStart>> describe_starts(std::span<const WallTime> starts, std::string_view zone_a,
                                                   std::string_view zone_b);

}  // namespace ladderline::domain
