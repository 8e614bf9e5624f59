#include "node/domain/radio/sun.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ladderline::domain {
namespace {

constexpr double degree = std::numbers::pi / 180;
constexpr double day_min = 1440;
constexpr double unix_epoch_jd = 2'440'587.5;
constexpr double latitude_max_deg = 89.99;
constexpr int rounds = 6;
constexpr std::int64_t ms_per_min = 60'000;
constexpr std::int64_t half_hour_ms = 30 * ms_per_min;

double turned(double deg) {
    const double out = std::fmod(deg, 360.0);
    return out < 0 ? out + 360 : out;
}

double julian_day(Day day) {
    return unix_epoch_jd + static_cast<double>(days_between(Day{0}, day));
}

// Dynamical time less universal time, seconds; polynomials of F. Espenak and J. Meeus for their years.
double delta_t_s(double julian) {
    const double since_2000 = (julian - 2'451'544.5) / 365.25;
    if (since_2000 < 5) return 63.86 + 0.3345 * since_2000;
    return 62.92 + 0.32217 * since_2000 + 0.005589 * since_2000 * since_2000;
}

WallTime instant(Day day, double minutes) {
    return {start_of(day).ms + static_cast<std::int64_t>(std::llround(minutes * static_cast<double>(ms_per_min)))};
}

struct Crossing {
    SunDay kind = SunDay::ordinary;
    double minutes = 0;  // after 0 h UT of the day
};

// `sign` -1: rise, +1: set.
Crossing crossing(Day day, double latitude_deg, double longitude_deg, double height_deg, double sign) {
    const double phi = latitude_deg * degree;
    const double noon = 720 - 4 * longitude_deg;
    double minutes = noon;
    for (int round = 0; round < rounds; ++round) {
        const double julian = julian_day(day) + minutes / day_min;
        const SunPosition sun = sun_at(julian + delta_t_s(julian) / 86'400);
        const double delta = sun.declination_deg * degree;
        double cos_h =
            (std::sin(height_deg * degree) - std::sin(phi) * std::sin(delta)) / (std::cos(phi) * std::cos(delta));
        if (round == 0) cos_h = std::clamp(cos_h, -1.0, 1.0);
        if (cos_h > 1) return {SunDay::stays_below, 0};
        if (cos_h < -1) return {SunDay::stays_above, 0};
        minutes = noon - sun.equation_of_time_min + sign * 4 * std::acos(cos_h) / degree;
    }
    return {SunDay::ordinary, minutes};
}

void add_touching(std::vector<TimeSpan>& out, TimeSpan span, Day day) {
    if (span.from < span.to && span.to > start_of(day) && span.from < start_of(day + 1)) out.push_back(span);
}

}  // namespace

SunPosition sun_at(double julian_ephemeris_day) {
    const double t = (julian_ephemeris_day - 2'451'545) / 36'525;
    const double mean_longitude = turned(280.46646 + t * (36'000.76983 + 0.0003032 * t));
    const double anomaly = (357.52911 + t * (35'999.05029 - 0.0001537 * t)) * degree;
    const double e = 0.016708634 - t * (0.000042037 + 0.0000001267 * t);
    const double centre = (1.914602 - t * (0.004817 + 0.000014 * t)) * std::sin(anomaly) +
                          (0.019993 - 0.000101 * t) * std::sin(2 * anomaly) + 0.000289 * std::sin(3 * anomaly);
    const double node = (125.04 - 1'934.136 * t) * degree;
    const double longitude = mean_longitude + centre - 0.00569 - 0.00478 * std::sin(node);
    const double mean_obliquity = 23 + 26 / 60.0 + (21.448 - t * (46.815 + t * (0.00059 - 0.001813 * t))) / 3'600;
    const double epsilon = (mean_obliquity + 0.00256 * std::cos(node)) * degree;
    const double y = std::pow(std::tan(epsilon / 2), 2);
    const double l0 = mean_longitude * degree;
    const double time = y * std::sin(2 * l0) - 2 * e * std::sin(anomaly) +
                        4 * e * y * std::sin(anomaly) * std::cos(2 * l0) - y * y * std::sin(4 * l0) / 2 -
                        1.25 * e * e * std::sin(2 * anomaly);
    SunPosition out;
    out.apparent_longitude_deg = turned(longitude);
    out.right_ascension_deg =
        turned(std::atan2(std::cos(epsilon) * std::sin(longitude * degree), std::cos(longitude * degree)) / degree);
    out.declination_deg = std::asin(std::sin(epsilon) * std::sin(longitude * degree)) / degree;
    out.obliquity_deg = epsilon / degree;
    out.equation_of_time_min = 4 * time / degree;
    return out;
}

SunEvents sun_events(Day day, Position place, double height_deg) {
    const double latitude = std::clamp(place.latitude_deg, -latitude_max_deg, latitude_max_deg);
    const double longitude = std::remainder(place.longitude_deg, 360.0);
    const Crossing rise = crossing(day, latitude, longitude, height_deg, -1);
    const Crossing set = crossing(day, latitude, longitude, height_deg, 1);
    SunEvents out;
    if (rise.kind == SunDay::ordinary) out.rise = instant(day, rise.minutes);
    if (set.kind == SunDay::ordinary) out.set = instant(day, set.minutes);
    if (!out.rise && !out.set) out.kind = rise.kind;
    return out;
}

std::vector<TimeSpan> grey_line(Day day, Position place) {
    enum class What : std::uint8_t { dawn, rise, set, dusk };
    std::vector<std::pair<WallTime, What>> events;
    const auto add = [&](std::optional<WallTime> at, What what) {
        if (at) events.emplace_back(*at, what);
    };
    for (const Day d : {day + -2, day + -1, day, day + 1, day + 2}) {
        const SunEvents sun = sun_events(d, place, rise_height_deg);
        const SunEvents civil = sun_events(d, place, civil_height_deg);
        add(civil.rise, What::dawn);
        add(sun.rise, What::rise);
        add(sun.set, What::set);
        add(civil.set, What::dusk);
    }
    std::sort(events.begin(), events.end());
    std::vector<TimeSpan> out;
    for (std::size_t k = 1; k < events.size(); ++k) {
        const auto& [from, begins] = events[k - 1];
        const auto& [to, ends] = events[k];
        // A night may be no darker than twilight, and a noon no lighter.
        if ((begins != What::dawn && begins != What::set) || (ends != What::rise && ends != What::dusk)) continue;
        add_touching(
            out,
            {{from.ms - (begins == What::set ? half_hour_ms : 0)}, {to.ms + (ends == What::rise ? half_hour_ms : 0)}},
            day);
    }
    return out;
}

std::vector<TimeSpan> grey_line(Day day, Position one, Position other) {
    std::vector<TimeSpan> out;
    const auto theirs = grey_line(day, other);
    for (const TimeSpan& a : grey_line(day, one)) {
        for (const TimeSpan& b : theirs) {
            const TimeSpan both{std::max(a.from, b.from), std::min(a.to, b.to)};
            if (both.from < both.to) out.push_back(both);
        }
    }
    return out;
}

double sun_height_deg(WallTime now, Position place) {
    const Day day = utc_day(now);
    const double minutes = static_cast<double>(now.ms - start_of(day).ms) / static_cast<double>(ms_per_min);
    const double julian = julian_day(day) + minutes / day_min;
    const SunPosition sun = sun_at(julian + delta_t_s(julian) / 86'400);
    const double hour_angle = ((minutes + sun.equation_of_time_min + 4 * place.longitude_deg) / 4 - 180) * degree;
    const double phi = place.latitude_deg * degree;
    const double delta = sun.declination_deg * degree;
    return std::asin(std::sin(phi) * std::sin(delta) + std::cos(phi) * std::cos(delta) * std::cos(hour_angle)) / degree;
}

Light light_at(WallTime now, Position place) {
    const double height_deg = sun_height_deg(now, place);
    if (height_deg > rise_height_deg) return Light::day;
    return height_deg > civil_height_deg ? Light::twilight : Light::night;
}

}  // namespace ladderline::domain
