#include "node/domain/radio/path.hpp"

#include <GeographicLib/Geodesic.hpp>
#include <algorithm>
#include <cmath>
#include <cstdio>

namespace ladderline::domain {
namespace {

constexpr double meridian_circle_km = 40007.863;
constexpr double near_antipode_km = 50.0;
constexpr double diagonals_for_bearing = 3.0;

double in_circle(double degrees) {
    const double turned = std::fmod(degrees, 360.0);
    const double positive = turned < 0 ? turned + 360.0 : turned;
    return positive < 360.0 ? positive : 0.0;  // -1e-17 + 360 rounds to 360
}

int whole_degrees(double degrees) {
    return static_cast<int>(std::lround(degrees)) % 360;
}

double rounded_to(double value, double step) {
    return std::round(value / step) * step;
}

double distance_step_km(LocatorLength coarser) {
    if (coarser == LocatorLength::four) return 10.0;
    return coarser == LocatorLength::six ? 1.0 : 0.1;
}

double distance_to_antipode_km(Position a, Position b) {
    return shortest_way({-a.latitude_deg, a.longitude_deg + 180.0}, b).distance_km();
}

std::string grouped(double km) {
    char digits[32];
    const bool tenths = std::fabs(km - std::round(km)) > 0.01;
    std::snprintf(digits, sizeof digits, tenths ? "%.1f" : "%.0f", km);
    std::string out = digits;
    const std::size_t whole = out.find('.') == std::string::npos ? out.size() : out.find('.');
    if (whole > 3) out.insert(whole - 3, ",");
    return out + " km";
}

}  // namespace

Geodesic shortest_way(Position a, Position b) {
    Geodesic out;
    double azimuth = 0;
    double arrival = 0;
    GeographicLib::Geodesic::WGS84().Inverse(a.latitude_deg, a.longitude_deg, b.latitude_deg, b.longitude_deg,
                                             out.distance_m, azimuth, arrival);
    out.azimuth_deg = in_circle(azimuth);
    out.arrival_azimuth_deg = arrival;
    out.back_azimuth_deg = in_circle(arrival + 180.0);
    return out;
}

double uncertainty_km(const Locator& locator) {
    const Position corner = locator.south_west();
    const Position centre = locator.centre();
    const double north = corner.latitude_deg + locator.height_deg();
    return std::max(shortest_way(centre, corner).distance_km(),
                    shortest_way(centre, {north, corner.longitude_deg}).distance_km());
}

Apart apart(const Locator& a, const Locator& b) {
    return {shortest_way(a.centre(), b.centre()).distance_km(), uncertainty_km(a) + uncertainty_km(b)};
}

std::string to_text(const Apart& apart) {
    constexpr double step_km = 10;
    if (apart.unsure_km < step_km) return "about " + grouped(rounded_to(apart.centres_km, step_km));
    const double least_km = std::floor(apart.least_km() / step_km) * step_km;
    const std::string most = grouped(std::ceil(apart.most_km() / step_km) * step_km);
    if (least_km <= 0) return "at most " + most;
    const std::string least = grouped(least_km);
    return "between " + least.substr(0, least.find(' ')) + " and " + most;
}

Path path_between(const Locator& from, const Locator& to) {
    Path out;
    const Locator& coarser = from.length() <= to.length() ? from : to;
    const Geodesic way = shortest_way(from.centre(), to.centre());
    const double step_km = distance_step_km(coarser.length());
    if (from.cut_to(coarser.length()) == to.cut_to(coarser.length())) {
        out.kind = PathKind::same_place;
        return out;
    }
    out.distance_km = rounded_to(way.distance_km(), step_km);
    out.long_distance_km = rounded_to(meridian_circle_km - way.distance_km(), 10.0);
    const double diagonal_km = 2 * std::max(uncertainty_km(from), uncertainty_km(to));
    if (way.distance_km() < diagonals_for_bearing * diagonal_km) {
        out.kind = PathKind::too_close;
        return out;
    }
    if (distance_to_antipode_km(from.centre(), to.centre()) < near_antipode_km) {
        out.kind = PathKind::any_direction;
        return out;
    }
    out.bearing_deg = whole_degrees(way.azimuth_deg);
    out.back_bearing_deg = whole_degrees(way.back_azimuth_deg);
    out.long_bearing_deg = whole_degrees(in_circle(way.azimuth_deg + 180.0));
    return out;
}

std::string to_text(const Path& path) {
    switch (path.kind) {
        case PathKind::same_place:
            return "the same place";
        case PathKind::too_close:
            return grouped(path.distance_km) + ", too close for a bearing";
        case PathKind::any_direction:
            return grouped(path.distance_km) + ", any direction";
        case PathKind::ordinary:
            break;
    }
    return grouped(path.distance_km) + ", bearing " + std::to_string(*path.bearing_deg) + " degrees";
}

}  // namespace ladderline::domain
