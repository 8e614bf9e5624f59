#include "node/commands/contact_map.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace ladderline::node {
namespace {

constexpr double km_per_mile = 1.609344;  // international mile
constexpr double reach_km_min = 10;

std::string grouped(double value) {
    std::string out = std::to_string(static_cast<long long>(std::llround(value)));
    for (std::size_t at = out.size(); at > 3;) {
        at -= 3;
        out.insert(at, ",");
    }
    return out;
}

}  // namespace

std::string km_words(double km) {
    return grouped(km) + " km";
}

std::string mile_words(double km) {
    return grouped(km / km_per_mile) + " mi";
}

std::string km_and_miles(double km) {
    return km_words(km) + " (" + mile_words(km) + ")";
}

std::string distance_words(const domain::Path& path) {
    switch (path.kind) {
        case domain::PathKind::same_place:
            return "the same square";
        case domain::PathKind::too_close:
            return km_and_miles(path.distance_km) + ", too close for a bearing";
        case domain::PathKind::any_direction:
            return km_and_miles(path.distance_km) + ", any direction";
        case domain::PathKind::ordinary:
            break;
    }
    return km_and_miles(path.distance_km) + ", bearing " + std::to_string(*path.bearing_deg) + " degrees";
}

Result<ContactMap> contact_map(const WayView& way, std::string_view from) {
    std::string own(from);
    if (own.empty() && way.owner.card) own = way.owner.card->locator;
    if (own.empty()) {
        return Error{Fault::not_found,
                     "A map needs your own locator in its middle: put it on your card, or type it here."};
    }
    TRY(const domain::Locator middle, domain::Locator::parse(own));
    ContactMap out;
    out.middle = middle.text();
    std::map<std::pair<std::string, std::string>, MapStation> found;
    double far = reach_km_min;
    for (const ContactView& view : way.contacts) {
        const auto there = domain::Locator::parse(view.contact.locator);
        if (!there) {
            out.without_locator += 1;
            continue;
        }
        MapStation& station = found[{view.contact.worked, there.value().text()}];
        station.contacts += 1;
        if (station.contacts > 1) continue;
        station.call = view.contact.worked;
        station.locator = there.value().text();
        station.path = domain::path_between(middle, there.value());
        station.point = domain::azimuthal_equidistant(middle.centre(), there.value().centre(), domain::earth_sphere_km);
        far = std::max(far, std::hypot(station.point.x, station.point.y));
    }
    for (auto& [key, station] : found) out.stations.push_back(std::move(station));
    std::stable_sort(out.stations.begin(), out.stations.end(),
                     [](const MapStation& a, const MapStation& b) { return a.path.distance_km < b.path.distance_km; });
    out.ring_km = domain::ring_step_km(far);
    out.reach_km = std::ceil(far / out.ring_km) * out.ring_km;
    return out;
}

}  // namespace ladderline::node
