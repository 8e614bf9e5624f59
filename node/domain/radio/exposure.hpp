#pragma once
// How much of the transmitted power reaches people, and how far away they have to be.
// Limits: 47 CFR 1.1310(e), Table 1. Exemptions: 47 CFR 1.1307(b)(3)(i), in force since 2021-05-03 (FCC 19-126, Tables
// 1 and 2). Power density: FCC OET Bulletin 65, equations 3 to 10. All of it holds in the far field and in the main
// beam; nearer than a sixth of a wavelength (lambda / 2 pi) it is an estimate that may be too low. This helps with the
// worksheet. The rules, and who is licensed under them, decide.

#include <cstdint>
#include <optional>

#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Who may be there: people who know and can step back (the operator, an informed household), or anybody.
enum class Environment : std::uint8_t { controlled, uncontrolled };

// The day since which the limits and exemptions of this file are in force (FCC 19-126). Sheets that were worked out by
// older ones are to be looked at again; whoever changes a table here changes the day.
Day exposure_rules_day();

// Time over which exposure is averaged, minutes: 6 or 30.
double averaging_min(Environment environment);
// Largest permitted power density, mW/cm2, time-averaged; below 30 MHz as a plane wave's. None outside 0.3 to 100,000
// MHz.
std::optional<double> density_limit_mw_cm2(double frequency_mhz, Environment environment);

// Ground reflection, as a factor of the power density: 1 without one, 4 of a perfect mirror. The usual one: a field of
// 1.6 times; EPA 520/6-85-011, taken over by OET 65.
inline constexpr double usual_reflection = 2.56;

struct Transmission {
    double frequency_mhz = 0;
    double peak_w = 0;       // PEP at the transmitter
    double mode_duty = 1;    // mean power of the mode over its peak, more than 0 to 1
    double on_min = 1;       // transmitting, then
    double off_min = 0;      // listening, again and again
    double loss_db = 0;      // feed line and tuner, 0 or more
    double gain_dbi = 2.15;  // of the antenna towards the people
    double reflection = usual_reflection;
};

// bad_input: a number that is out of range or not finite, in one sentence that names it.
Result<void> check(const Transmission& t);

// Largest share of any averaging window that is spent transmitting, 0 to 1.
double worst_share(double on_min, double off_min, Environment environment);
// Into the antenna, W.
double average_power_w(const Transmission& t, Environment environment);
// W over isotropic, and over a half-wave dipole (2.15 dB, a factor of 1.64).
double average_eirp_w(const Transmission& t, Environment environment);
double average_erp_w(const Transmission& t, Environment environment);

// mW/cm2 at that distance from the nearest part of the antenna. Precondition: distance_m > 0.
double density_mw_cm2(const Transmission& t, Environment environment, double distance_m);
// Nearer than this the limit is exceeded, m. Precondition: the frequency has a limit.
double least_distance_m(const Transmission& t, Environment environment);
// lambda / 2 pi, m: nearer than this the far-field formulas are an estimate.
double near_field_m(double frequency_mhz);

enum class Exemption : std::uint8_t {
    none,
    tiny_power,  // (A): at most 1 mW
    body_worn,   // (B): 0.3 to 6 GHz within 40 cm, by absorbed power
    distance,    // (C): ERP below the threshold of that distance, at lambda / 2 pi or farther
};

// Table 2 of FCC 19-126: threshold of ERP, W. None outside 0.3 to 100,000 MHz.
std::optional<double> erp_threshold_w(double frequency_mhz, double distance_m);
// Formula of Table 1, mW of power or ERP, whichever is greater. None outside 0.3 to 6 GHz or 0.5 to 40 cm.
std::optional<double> absorbed_threshold_mw(double frequency_mhz, double distance_m);
// By averages over `environment`'s window.
Exemption exemption(const Transmission& t, Environment environment, double distance_m);

// One line of the worksheet.
struct Exposure {
    double average_w = 0;
    double density_mw_cm2 = 0;
    double limit_mw_cm2 = 0;
    double least_distance_m = 0;
    Exemption exempt = Exemption::none;
    bool is_within = false;  // density at most the limit

    bool operator==(const Exposure&) const = default;
};

// bad_input as check(), a distance that is not above 0, or a frequency without a limit.
Result<Exposure> exposure_at(const Transmission& t, Environment environment, double distance_m);

}  // namespace ladderline::domain
