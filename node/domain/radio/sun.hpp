#pragma once
// Sunrise, sunset and twilight, and the grey line of a place or a path.
// Source: low-accuracy solar theory of J. Meeus, Astronomical Algorithms, 2nd ed., chapters 25 and 28. Within 20 s up
// to 65 degrees of latitude; nearer to the poles the sun grazes the horizon and no table is better than the air is
// steady.

#include <optional>
#include <vector>

#include "node/domain/meeting/common_times.hpp"
#include "node/domain/radio/locator.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Of the centre of the sun at an instant. Degrees; equation of time in minutes, sundial less clock.
struct SunPosition {
    double apparent_longitude_deg = 0;  // 0 <= longitude < 360
    double right_ascension_deg = 0;     // 0 <= ascension < 360
    double declination_deg = 0;
    double obliquity_deg = 0;
    double equation_of_time_min = 0;
};

// `julian_ephemeris_day`: dynamical time, days; good for some centuries about 2000.
SunPosition sun_at(double julian_ephemeris_day);

// Height of the sun's centre at the event, degrees: its upper rim on the horizon with ordinary refraction; civil
// twilight.
inline constexpr double rise_height_deg = -0.8333;
inline constexpr double civil_height_deg = -6.0;

enum class SunDay : std::uint8_t { ordinary, stays_above, stays_below };

// Of one solar day of the place: the rise may fall on the UT day before or after `day`, and so may the set. At the
// beginning and the end of a polar day or night there may be one without the other.
struct SunEvents {
    SunDay kind = SunDay::ordinary;  // the others: neither rise nor set
    std::optional<WallTime> rise;
    std::optional<WallTime> set;
};

// Latitudes beyond 89.99 degrees count as 89.99.
SunEvents sun_events(Day day, Position place, double height_deg);

// What touches the UT day `day`, in order: civil dawn to half an hour after sunrise, half an hour before sunset to
// civil dusk. A night that gets no darker than twilight is grey from sunset to sunrise, with a half hour at either end;
// a polar night whose noon is twilight from dawn to dusk. Empty in the polar day and in the dark of the polar night,
// and near a pole where twilight lasts for days.
std::vector<TimeSpan> grey_line(Day day, Position place);
// When both ends are in it at once. A chance, not a forecast.
std::vector<TimeSpan> grey_line(Day day, Position one, Position other);

// Of the sun's centre above the horizon, degrees, -90 to 90, without refraction (the same book, chapter 13).
double sun_height_deg(WallTime now, Position place);

enum class Light : std::uint8_t { day, twilight, night };
Light light_at(WallTime now, Position place);

}  // namespace ladderline::domain
