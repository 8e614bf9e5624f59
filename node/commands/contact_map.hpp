#pragma once
// Where one's contacts were: each station with a locator, its distance and direction from one's own place, and its
// point on a map with oneself in the middle.

#include "node/commands/way.hpp"
#include "node/domain/radio/azimuthal.hpp"
#include "node/domain/radio/path.hpp"

namespace ladderline::node {

struct MapStation {
    std::string call;
    std::string locator;
    std::size_t contacts = 0;
    domain::Path path;       // from the middle; what the locators allow to be said
    domain::MapPoint point;  // km east and north of the middle
};
struct ContactMap {
    std::string middle;                // own locator
    std::vector<MapStation> stations;  // nearest first; one a call sign and locator
    std::size_t without_locator = 0;   // contacts that cannot be drawn
    double reach_km = 0;               // radius of the map, a whole number of rings
    double ring_km = 0;
};
// `from`: the own locator as typed; empty: the card's. not_found without either; bad_input: no locator.
Result<ContactMap> contact_map(const WayView& way, std::string_view from);

// "500 km", "311 mi" and "500 km (311 mi)"
std::string km_words(double km);
std::string mile_words(double km);
std::string km_and_miles(double km);
// "1,250 km (777 mi), bearing 52 degrees"
std::string distance_words(const domain::Path& path);

}  // namespace ladderline::node
