#include "node/domain/meeting/local_time.hpp"

#include <date/tz.h>

#include <cstdio>
#include <exception>

namespace ladderline::domain {
namespace {

using std::chrono::milliseconds;
using std::chrono::minutes;

constexpr std::int64_t ms_per_minute = 60'000;
constexpr std::int64_t ms_per_week = 7 * 24 * 60 * ms_per_minute;

const date::time_zone& entry(const void* zone) {
    return *static_cast<const date::time_zone*>(zone);
}

WallTime to_wall(date::sys_seconds t) {
    return {milliseconds{t.time_since_epoch()}.count()};
}

date::sys_seconds to_sys(WallTime t) {
    return std::chrono::floor<std::chrono::seconds>(date::sys_time<milliseconds>{milliseconds{t.ms}});
}

}  // namespace

Result<Zone> Zone::find(std::string_view name) {
    const Error unknown{Fault::not_found, "The time zone '" + std::string(name) +
                                              "' is not known here; give one such as Europe/London or America/Denver."};
    try {
        const date::time_zone* zone = date::locate_zone(std::string(name));
        static_cast<void>(zone->get_info(date::sys_seconds{}));  // reads the zone's own file, which may fail as well
        return Zone{std::string(name), zone};
    } catch (const std::exception&) {
        return unknown;
    }
}

LocalMoment Zone::at(Day day, std::int32_t minute_of_day) const {
    const date::local_seconds local{date::days{day.number} + minutes{minute_of_day}};
    const date::local_info info = entry(zone_).get_info(local);
    if (info.result == date::local_info::nonexistent) {
        const WallTime jump = to_wall(info.first.end);
        return {LocalKind::skipped, jump, jump};
    }
    const auto instant = [&](const date::sys_info& side) {
        return to_wall(date::sys_seconds{local.time_since_epoch() - side.offset});
    };
    if (info.result == date::local_info::ambiguous) {
        return {LocalKind::twice, instant(info.first), instant(info.second)};
    }
    return {LocalKind::once, instant(info.first), instant(info.first)};
}

LocalClock Zone::clock_at(WallTime t) const {
    const date::sys_info info = entry(zone_).get_info(to_sys(t));
    const WallTime local{t.ms + milliseconds{info.offset}.count()};
    LocalClock out;
    out.day = utc_day(local);
    out.minute_of_day = static_cast<std::int32_t>((local.ms - start_of(out.day).ms) / ms_per_minute);
    out.offset_minutes = static_cast<std::int32_t>(std::chrono::floor<minutes>(info.offset).count());
    out.abbreviation = info.abbrev;
    return out;
}

bool Zone::is_after_change(WallTime t) const {
    date::sys_info info = entry(zone_).get_info(to_sys(t));
    const auto offset = info.offset;
    while (to_wall(info.begin).ms > t.ms - ms_per_week) {
        info = entry(zone_).get_info(info.begin - std::chrono::seconds{1});
        if (info.offset != offset) return true;
    }
    return false;
}

std::string to_text(const LocalClock& clock) {
    static constexpr const char* weekdays[] = {"Thu", "Fri", "Sat", "Sun", "Mon", "Tue", "Wed"};
    const std::int32_t weekday = ((clock.day.number % 7) + 7) % 7;  // 1970-01-01 was a Thursday
    char time[24];
    std::snprintf(time, sizeof time, "%02d:%02d", clock.minute_of_day / 60, clock.minute_of_day % 60);
    return std::string(weekdays[weekday]) + " " + to_iso(clock.day) + " " + time + " " + clock.abbreviation;
}

}  // namespace ladderline::domain
