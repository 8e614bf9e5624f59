#pragma once
// A map with oneself in the middle: distance and direction from there are true, everything else is stretched.
// Source: J. P. Snyder, Map Projections - A Working Manual, US Geological Survey Professional Paper 1395 (1987),
// azimuthal equidistant projection of the sphere, equations 22-4, 22-5, 25-2 and 5-3.

#include "node/domain/radio/locator.hpp"

namespace ladderline::domain {

// Mean radius of the Earth, km, as a sphere (IUGG, R1). A sphere is up to 0.6 % off the ellipsoid; tables beside a map
// take path.hpp.
inline constexpr double earth_sphere_km = 6371.0088;

// East and north of the middle, in the unit of the radius.
struct MapPoint {
    double x = 0;
    double y = 0;
};

// Where `place` lies on a map about `middle`, on a sphere of that radius. The antipode is a circle on such a map; its
// point due north is given. Preconditions: latitudes within -90 to 90, all numbers finite, radius above 0.
MapPoint azimuthal_equidistant(Position middle, Position place, double radius);

// Distance of the rings to be drawn for a map that reaches `reach_km` (more than 0): 1, 2 or 5 times a power of ten, so
// that there are two to five of them; at most 10,000.
double ring_step_km(double reach_km);

}  // namespace ladderline::domain
