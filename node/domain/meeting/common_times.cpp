#include "node/domain/meeting/common_times.hpp"

#include <algorithm>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int64_t ms_per_minute = 60'000;
constexpr std::int64_t grid_ms = 30 * ms_per_minute;
constexpr std::int32_t minutes_per_day = 24 * 60;
constexpr std::int32_t days_max = 3660;
constexpr std::int32_t weeks_counted = 4;

Weekday weekday_of(Day day) {
    const std::int32_t since_sunday = (day.number % 7 + 7 + 4) % 7;  // 1970-01-01 was a Thursday
    return static_cast<Weekday>(since_sunday);
}

bool is_in_range(const WeeklyWindow& window) {
    return window.weekday <= Weekday::saturday && window.start_minute >= 0 && window.start_minute < minutes_per_day &&
           window.end_minute >= 0 && window.end_minute <= minutes_per_day;
}

TimeSpan on_date(const Zone& zone, const WeeklyWindow& window, Day date) {
    const bool past_midnight = window.end_minute <= window.start_minute;
    return {zone.at(date, window.start_minute).earlier,
            zone.at(past_midnight ? date + 1 : date, window.end_minute).later};
}

std::vector<TimeSpan> merged(std::vector<TimeSpan> spans) {
    std::sort(spans.begin(), spans.end(), [](const TimeSpan& a, const TimeSpan& b) { return a.from < b.from; });
    std::vector<TimeSpan> out;
    for (const TimeSpan& span : spans) {
        if (!out.empty() && span.from <= out.back().to) {
            out.back().to = std::max(out.back().to, span.to);
        } else {
            out.push_back(span);
        }
    }
    return out;
}

// Rounds up to the grid; instants before 1970 too.
WallTime on_grid(WallTime t) {
    const std::int64_t over = ((t.ms % grid_ms) + grid_ms) % grid_ms;
    return {over == 0 ? t.ms : t.ms + grid_ms - over};
}

bool meets(std::span<const TimeSpan> taken, const TimeSpan& wanted) {
    return std::any_of(taken.begin(), taken.end(),
                       [&](const TimeSpan& span) { return span.from < wanted.to && wanted.from < span.to; });
}

}  // namespace

Result<std::vector<TimeSpan>> to_instants(const Availability& availability, Day first, std::int32_t days) {
    if (days < 0 || days > days_max) {
        return Error{Fault::bad_input, "Common times can be looked for over at most " + std::to_string(days_max) +
                                           " days; give a shorter range."};
    }
    if (!std::all_of(availability.windows.begin(), availability.windows.end(), is_in_range)) {
        return Error{Fault::bad_input, "A weekly window lies outside the day; give times from 00:00 to 24:00."};
    }
    TRY(const Zone zone, Zone::find(availability.zone));
    const TimeSpan range{start_of(first), start_of(first + days)};
    std::vector<TimeSpan> out;
    for (Day date = first + -1; date <= first + days; date = date + 1) {
        for (const WeeklyWindow& window : availability.windows) {
            if (window.weekday != weekday_of(date)) continue;
            const TimeSpan span = on_date(zone, window, date);
            const TimeSpan cut{std::max(span.from, range.from), std::min(span.to, range.to)};
            if (cut.from < cut.to) out.push_back(cut);
        }
    }
    return merged(std::move(out));
}

std::vector<TimeSpan> common_spans(std::span<const TimeSpan> a, std::span<const TimeSpan> b, std::int64_t minutes_min) {
    std::vector<TimeSpan> out;
    for (std::size_t i = 0, j = 0; i < a.size() && j < b.size();) {
        const TimeSpan both{std::max(a[i].from, b[j].from), std::min(a[i].to, b[j].to)};
        if (both.from < both.to && both.minutes() >= minutes_min) out.push_back(both);
        if (a[i].to < b[j].to) {
            ++i;
        } else {
            ++j;
        }
    }
    return out;
}

Result<std::vector<TimeSpan>> common_times(const Availability& a, const Availability& b, Day first, std::int32_t days,
                                           std::int64_t minutes_min) {
    TRY(const std::vector<TimeSpan> of_a, to_instants(a, first, days));
    TRY(const std::vector<TimeSpan> of_b, to_instants(b, first, days));
    return common_spans(of_a, of_b, minutes_min);
}

Result<double> weekly_common_minutes(const Availability& a, const Availability& b, Day first) {
    TRY(const std::vector<TimeSpan> spans, common_times(a, b, first, 7 * weeks_counted, 0));
    std::int64_t minutes = 0;
    for (const TimeSpan& span : spans) minutes += span.minutes();
    return static_cast<double>(minutes) / weeks_counted;
}

std::vector<WallTime> propose_starts(std::span<const TimeSpan> spans, std::span<const TimeSpan> taken,
                                     std::int64_t minutes, std::size_t count) {
    ENSURE(minutes > 0);
    std::vector<WallTime> out;
    for (const TimeSpan& span : spans) {
        if (out.size() == count) break;
        for (WallTime start = on_grid(span.from);; start.ms += grid_ms) {
            const TimeSpan wanted{start, {start.ms + minutes * ms_per_minute}};
            if (span.to < wanted.to) break;
            if (meets(taken, wanted)) continue;
            out.push_back(start);
            break;
        }
    }
    return out;
}

Result<std::vector<ProposedStart>> describe_starts(std::span<const WallTime> starts, std::string_view zone_a,
                                                   std::string_view zone_b) {
    TRY(const Zone a, Zone::find(zone_a));
    TRY(const Zone b, Zone::find(zone_b));
    std::vector<ProposedStart> out;
    for (const WallTime start : starts) {
        out.push_back(
            {start, a.clock_at(start), b.clock_at(start), a.is_after_change(start) || b.is_after_change(start)});
    }
    return out;
}

}  // namespace ladderline::domain
