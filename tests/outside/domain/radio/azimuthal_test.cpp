// The map about oneself against a printed example and against an independent way of working it out.

#include "node/domain/radio/azimuthal.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "node/domain/radio/path.hpp"

using namespace ladderline::domain;

namespace {

constexpr double radian = std::numbers::pi / 180;

}  // namespace

TEST_CASE("the numerical example of the projection comes out") {
    // J. P. Snyder, USGS Professional Paper 1395, numerical examples, azimuthal equidistant on a sphere: R 3.0, centre
    // 40 N 100 W, place 20 S 100 E; x -5.8311398, y 5.5444634. From memory; both were also worked out apart, with
    // another program.
    const MapPoint point = azimuthal_equidistant({40, -100}, {-20, 100}, 3.0);
    CHECK(point.x == doctest::Approx(-5.8311398).epsilon(1e-8));
    CHECK(point.y == doctest::Approx(5.5444634).epsilon(1e-8));
}

TEST_CASE("about a pole the distance from the middle is the distance in latitude, and the angle the longitude") {
    // The polar form of the same projection: rho = R (90 - latitude), Snyder equation 25-3 (number from memory).
    for (const double latitude : {80.0, 45.0, 0.0, -60.0}) {
        CAPTURE(latitude);
        const MapPoint point = azimuthal_equidistant({90, 0}, {latitude, 30}, 1.0);
        const double rho = (90 - latitude) * radian;
        CHECK(point.x == doctest::Approx(rho * std::sin(30 * radian)).epsilon(1e-12));
        CHECK(point.y == doctest::Approx(-rho * std::cos(30 * radian)).epsilon(1e-12));
    }
}

TEST_CASE("distance and bearing from the middle are those of the ellipsoid within what a sphere allows") {
    // GeographicLib (Karney 2013) on WGS84; a sphere is at most 0.6 % off in distance and 0.3 degrees in direction.
    const Position middle{41.5, -73};
    for (const Position place : {Position{51.5, -1}, Position{-34.9, -56.2}, Position{35.7, 139.7},
                                 Position{61.2, -150}, Position{42, -72}, Position{-41.3, 174.7}}) {
        CAPTURE(place.latitude_deg);
        const MapPoint point = azimuthal_equidistant(middle, place, earth_sphere_km);
        const Geodesic way = shortest_way(middle, place);
        CHECK(std::hypot(point.x, point.y) == doctest::Approx(way.distance_km()).epsilon(0.006));
        const double bearing = std::fmod(std::atan2(point.x, point.y) / radian + 360, 360);
        CHECK(std::fabs(std::remainder(bearing - way.azimuth_deg, 360)) < 0.3);
    }
}

TEST_CASE("the middle is in the middle, and the antipode at half the circumference") {
    const MapPoint same = azimuthal_equidistant({41.5, -73}, {41.5, -73}, earth_sphere_km);
    CHECK(std::hypot(same.x, same.y) < 1e-6);
    const MapPoint antipode = azimuthal_equidistant({41.5, -73}, {-41.5, 107}, earth_sphere_km);
    CHECK(std::hypot(antipode.x, antipode.y) == doctest::Approx(20015.11).epsilon(1e-6));
}
