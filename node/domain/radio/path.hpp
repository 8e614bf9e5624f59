#pragma once
// Distance and direction between two places on the WGS84 ellipsoid, and what of it may be said about two locators.
// Source: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), by way of GeographicLib.

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>

#include "node/domain/radio/locator.hpp"

namespace ladderline::domain {

// The shortest way from a to b. Converges for antipodes too; at one place, a pole or an antipode the azimuths are
// mathematically arbitrary.
struct Geodesic {
    double distance_m = 0;           // 0 to about 20,003,931
    double azimuth_deg = 0;          // direction at a in which b lies, 0 <= azimuth < 360, clockwise from north
    double arrival_azimuth_deg = 0;  // direction at b in which the way runs on, -180 to 180
    double back_azimuth_deg = 0;     // direction at b in which a lies, 0 <= azimuth < 360

    double distance_km() const { return distance_m / 1000.0; }
};

// Precondition: both latitudes within -90 to 90, all four numbers finite.
Geodesic shortest_way(Position a, Position b);

// The farthest that a place within the locator's cell can lie from its centre, km (centre to corner).
double uncertainty_km(const Locator& locator);

// How far two places lie apart, as far as the cells of their locators tell.
struct Apart {
    double centres_km = 0;
    double unsure_km = 0;  // both cells, centre to corner

    double least_km() const { return std::max(0.0, centres_km - unsure_km); }
    double most_km() const { return centres_km + unsure_km; }
};
Apart apart(const Locator& a, const Locator& b);
// To 10 km: "about 40 km"; where the cells leave more than that open "at most 200 km" or "between 10 and 210 km".
std::string to_text(const Apart& apart);

enum class PathKind : std::uint8_t {
    ordinary,
    same_place,     // both locators have one centre, or are one cell: distance 0, no direction
    too_close,      // under three cell diagonals apart: a distance, no direction
    any_direction,  // within 50 km of the antipode: every direction is about as good
};

// What may honestly be said about two locators: no more digits than the cells allow.
struct Path {
    PathKind kind = PathKind::ordinary;
    double distance_km = 0;  // rounded: to 10 km if either locator has 4 characters, to 1 km for 6, to 0.1 km for 8
    // Whole degrees, 0 to 359; only for `ordinary`.
    std::optional<int> bearing_deg;
    std::optional<int> back_bearing_deg;
    // The other way round. Always "about": the meridian circle of 40,007.863 km less the short way.
    double long_distance_km = 0;  // rounded to 10 km
    std::optional<int> long_bearing_deg;
};

Path path_between(const Locator& from, const Locator& to);

// One line for a person: "5,410 km, bearing 52 degrees".
std::string to_text(const Path& path);

}  // namespace ladderline::domain
