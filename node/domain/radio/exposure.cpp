#include "node/domain/radio/exposure.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numbers>
#include <string>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr double light_m_mhz = 299.792458;  // metres times megahertz; CODATA speed of light, exact
constexpr double dipole_gain = 1.64;
constexpr double frequency_mhz_min = 0.3;
constexpr double frequency_mhz_max = 100'000;
constexpr double mw_cm2_per_w_m2 = 0.1;
constexpr double tiny_w = 0.001;

double ratio(double db) {
    return std::pow(10, db / 10);
}

bool has_limit(double frequency_mhz) {
    return frequency_mhz >= frequency_mhz_min && frequency_mhz <= frequency_mhz_max;
}

struct Range {
    double value;
    double min;
    double max;
    const char* sentence;
};

}  // namespace

double averaging_min(Environment environment) {
    return environment == Environment::controlled ? 6 : 30;
}

std::optional<double> density_limit_mw_cm2(double frequency_mhz, Environment environment) {
    if (!has_limit(frequency_mhz)) return {};
    const double f = frequency_mhz;
    if (environment == Environment::controlled) {
        if (f < 3) return 100;
        if (f < 30) return 900 / (f * f);
        if (f < 300) return 1;
        return f < 1'500 ? f / 300 : 5;
    }
    if (f < 1.34) return 100;
    if (f < 30) return 180 / (f * f);
    if (f < 300) return 0.2;
    return f < 1'500 ? f / 1'500 : 1;
}

Day exposure_rules_day() {
    constexpr std::chrono::sys_days in_force{std::chrono::year{2021} / std::chrono::May / 3};
    return {static_cast<std::int32_t>(in_force.time_since_epoch().count())};
}

Result<void> check(const Transmission& t) {
    for (const Range& range :
         {Range{t.frequency_mhz, frequency_mhz_min, frequency_mhz_max, "The frequency is 0.3 to 100,000 MHz."},
          Range{t.peak_w, 0.000'001, 100'000, "The power is more than 0 and at most 100,000 W."},
          Range{t.mode_duty, 0.001, 1, "The duty of the mode is more than 0 and at most 100 percent."},
          Range{t.on_min, 0.001, 1'440, "The time on the air is more than 0 and at most 1,440 minutes."},
          Range{t.off_min, 0, 1'440, "The time of listening is 0 to 1,440 minutes."},
          Range{t.loss_db, 0, 60, "The loss of the feed line is 0 to 60 dB."},
          Range{t.gain_dbi, -40, 60, "The gain of the antenna is -40 to 60 dBi."},
          Range{t.reflection, 1, 4, "The ground reflection is a factor of 1 to 4."}}) {
        if (!(range.value >= range.min && range.value <= range.max)) return Error{Fault::bad_input, range.sentence};
    }
    return ok();
}

double worst_share(double on_min, double off_min, Environment environment) {
    const double window = averaging_min(environment);
    const double cycle = on_min + off_min;
    const double whole = std::floor(window / cycle);
    return (whole * on_min + std::min(on_min, window - whole * cycle)) / window;
}

double average_power_w(const Transmission& t, Environment environment) {
    return t.peak_w * t.mode_duty * worst_share(t.on_min, t.off_min, environment) / ratio(t.loss_db);
}

double average_eirp_w(const Transmission& t, Environment environment) {
    return average_power_w(t, environment) * ratio(t.gain_dbi);
}

double average_erp_w(const Transmission& t, Environment environment) {
    return average_eirp_w(t, environment) / dipole_gain;
}

double density_mw_cm2(const Transmission& t, Environment environment, double distance_m) {
    ENSURE(distance_m > 0);
    return mw_cm2_per_w_m2 * t.reflection * average_eirp_w(t, environment) /
           (4 * std::numbers::pi * distance_m * distance_m);
}

double least_distance_m(const Transmission& t, Environment environment) {
    const auto limit = density_limit_mw_cm2(t.frequency_mhz, environment);
    ENSURE(limit.has_value());
    return std::sqrt(mw_cm2_per_w_m2 * t.reflection * average_eirp_w(t, environment) / (4 * std::numbers::pi * *limit));
}

double near_field_m(double frequency_mhz) {
    return light_m_mhz / frequency_mhz / (2 * std::numbers::pi);
}

std::optional<double> erp_threshold_w(double frequency_mhz, double distance_m) {
    if (!has_limit(frequency_mhz)) return {};
    const double f = frequency_mhz;
    const double r2 = distance_m * distance_m;
    if (f < 1.34) return 1'920 * r2;
    if (f < 30) return 3'450 * r2 / (f * f);
    if (f < 300) return 3.83 * r2;
    return f < 1'500 ? 0.0128 * r2 * f : 19.2 * r2;
}

std::optional<double> absorbed_threshold_mw(double frequency_mhz, double distance_m) {
    const double ghz = frequency_mhz / 1'000;
    const double cm = distance_m * 100;
    if (!(ghz >= 0.3 && ghz <= 6 && cm >= 0.5 && cm <= 40)) return {};
    const double at_20_cm = ghz < 1.5 ? 2'040 * ghz : 3'060;
    if (cm > 20) return at_20_cm;
    const double x = -std::log10(60 / (at_20_cm * std::sqrt(ghz)));
    return at_20_cm * std::pow(cm / 20, x);
}

Exemption exemption(const Transmission& t, Environment environment, double distance_m) {
    const double power_w = average_power_w(t, environment);
    const double erp_w = average_erp_w(t, environment);
    if (power_w <= tiny_w) return Exemption::tiny_power;
    const auto absorbed = absorbed_threshold_mw(t.frequency_mhz, distance_m);
    if (absorbed && 1'000 * std::max(power_w, erp_w) <= *absorbed) return Exemption::body_worn;
    const auto threshold = erp_threshold_w(t.frequency_mhz, distance_m);
    const bool is_far = distance_m >= near_field_m(t.frequency_mhz);
    return threshold && is_far && erp_w <= *threshold ? Exemption::distance : Exemption::none;
}

Result<Exposure> exposure_at(const Transmission& t, Environment environment, double distance_m) {
    TRY(check(t));
    if (!(distance_m > 0 && distance_m <= 100'000)) {
        return Error{Fault::bad_input, "The distance is more than 0 and at most 100,000 m."};
    }
    Exposure out;
    out.average_w = average_power_w(t, environment);
    out.density_mw_cm2 = density_mw_cm2(t, environment, distance_m);
    out.limit_mw_cm2 = density_limit_mw_cm2(t.frequency_mhz, environment).value();
    out.least_distance_m = least_distance_m(t, environment);
    out.exempt = exemption(t, environment, distance_m);
    out.is_within = out.density_mw_cm2 <= out.limit_mw_cm2;
    return out;
}

}  // namespace ladderline::domain
