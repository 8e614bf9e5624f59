#pragma once
// The formulas behind the worked problems, and how a quantity is written in them.

#include <cmath>
#include <span>
#include <string>
#include <string_view>

namespace ladderline::domain {

// Ohm's law and power: volts, amperes, ohms, watts.
inline double volts_across(double amperes, double ohms) {
    return amperes * ohms;
}
inline double watts_of_current(double amperes, double ohms) {
    return amperes * amperes * ohms;
}
inline double watts_of_voltage(double volts, double ohms) {
    return volts * volts / ohms;
}
// Every value above 0.
double in_series(std::span<const double> ohms);
double in_parallel(std::span<const double> ohms);

// Megahertz to metres and back, with the trade's rounded 300 million metres a second: 0.07 % above the speed of light.
inline constexpr double metres_times_megahertz = 300;
inline double wavelength_metres(double megahertz) {
    return metres_times_megahertz / megahertz;
}

// Feet of a thin wire, half a wave long and shortened by about 5 % for its ends: the handbooks' 468 over megahertz
// (from memory). A length to begin with and to be trimmed.
inline constexpr double dipole_feet_times_megahertz = 468;
inline double dipole_feet(double megahertz) {
    return dipole_feet_times_megahertz / megahertz;
}
inline constexpr double metres_in_a_foot = 0.3048;  // international foot, exact

// Power ratio to decibels and back (ITU-R V.574).
inline double decibels_of(double power_ratio) {
    return 10 * std::log10(power_ratio);
}
inline double power_ratio_of(double decibels) {
    return std::pow(10.0, decibels / 10);
}

// Three significant digits, no exponent, no needless zeros: "0.25", "13", "4700". value > 0, 1e-9 to 1e9.
std::string three_digits(double value);
// The same with the unit's prefix (p to G) that leaves 1 to 999 before the point: "4.7 kΩ".
std::string with_prefix(double value, std::string_view unit);

}  // namespace ladderline::domain
