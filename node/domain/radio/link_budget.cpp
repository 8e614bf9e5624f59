#include "node/domain/radio/link_budget.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr double light_km_mhz = 0.299792458;  // kilometres times megahertz
constexpr double earth_km = 6371;
constexpr double refraction = 4.0 / 3;
constexpr double unit_db = 6;

}  // namespace

double free_space_loss_db(double frequency_mhz, double distance_km) {
    ENSURE(frequency_mhz > 0 && distance_km > 0);
    return 20 * std::log10(4 * std::numbers::pi * distance_km * frequency_mhz / light_km_mhz);
}

double radio_horizon_km(double one_height_m, double other_height_m) {
    ENSURE(one_height_m >= 0 && other_height_m >= 0);
    const auto reach = [](double height_m) { return std::sqrt(2 * refraction * earth_km * height_m / 1'000); };
    return reach(one_height_m) + reach(other_height_m);
}

double dbm_of_watt(double watt) {
    ENSURE(watt > 0);
    return 30 + 10 * std::log10(watt);
}

Result<LinkEstimate> estimate(const Link& link) {
    struct Range {
        double value, min, max;
        const char* sentence;
    };
    for (const Range& range :
         {Range{link.frequency_mhz, 0.1, 300'000, "The frequency is 0.1 to 300,000 MHz."},
          Range{link.distance_km, 0.001, 1'000'000, "The distance is 0.001 to 1,000,000 km."},
          Range{link.power_w, 0.000'001, 100'000, "The power is more than 0 and at most 100,000 W."},
          Range{link.gains_dbi, -100, 120, "The gains together are -100 to 120 dBi."},
          Range{link.losses_db, 0, 120, "The losses together are 0 to 120 dB."},
          Range{link.one_height_m, 0, 20'000, "The height of an antenna is 0 to 20,000 m."},
          Range{link.other_height_m, 0, 20'000, "The height of an antenna is 0 to 20,000 m."}}) {
        if (!(range.value >= range.min && range.value <= range.max)) return Error{Fault::bad_input, range.sentence};
    }
    LinkEstimate out;
    out.received_dbm = dbm_of_watt(link.power_w) + link.gains_dbi - link.losses_db -
                       free_space_loss_db(link.frequency_mhz, link.distance_km);
    out.horizon_km = radio_horizon_km(link.one_height_m, link.other_height_m);
    out.is_in_sight = link.distance_km <= out.horizon_km;
    return out;
}

std::string s_reading(double received_dbm, double frequency_mhz) {
    const double s9 = frequency_mhz > 30 ? -93 : -73;
    const double over = received_dbm - s9;
    if (over >= 10) return "S9+" + std::to_string(10 * static_cast<int>(std::floor(over / 10)));
    const int unit = 9 + static_cast<int>(std::floor(over / unit_db));
    return "S" + std::to_string(std::clamp(unit, 0, 9));
}

}  // namespace ladderline::domain
