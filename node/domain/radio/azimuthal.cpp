#include "node/domain/radio/azimuthal.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr double radian = std::numbers::pi / 180;
constexpr double nearly_zero = 1e-12;

}  // namespace

MapPoint azimuthal_equidistant(Position middle, Position place, double radius) {
    ENSURE(radius > 0);
    const double lat1 = middle.latitude_deg * radian;
    const double lat = place.latitude_deg * radian;
    const double east = (place.longitude_deg - middle.longitude_deg) * radian;
    const double cos_c = std::sin(lat1) * std::sin(lat) + std::cos(lat1) * std::cos(lat) * std::cos(east);
    const double x = std::cos(lat) * std::sin(east);
    const double y = std::cos(lat1) * std::sin(lat) - std::sin(lat1) * std::cos(lat) * std::cos(east);
    const double sin_c = std::hypot(x, y);
    const double c = std::atan2(sin_c, cos_c);  // as acos(cos_c), and exact near the middle and the antipode
    if (sin_c < nearly_zero) return cos_c > 0 ? MapPoint{0, 0} : MapPoint{0, radius * std::numbers::pi};
    const double k = c / sin_c;
    return {radius * k * x, radius * k * y};
}

double ring_step_km(double reach_km) {
    ENSURE(reach_km > 0);
    constexpr double rings_max = 5;
    constexpr double step_km_max = 10'000;
    double step = std::pow(10.0, std::floor(std::log10(reach_km)) - 1);
    for (int round = 0; round < 2 && reach_km / step > rings_max; ++round) {
        for (const double times : {2.0, 2.5, 2.0}) {  // 1, 2, 5, 10
            if (reach_km / step <= rings_max) break;
            step *= times;
        }
    }
    return std::min(step, step_km_max);
}

}  // namespace ladderline::domain
