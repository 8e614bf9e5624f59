#pragma once
// Whether a signal that goes straight from one antenna to the other is likely to be heard: a floor for paths in sight
// of each other. It says nothing of paths by the ionosphere. Sources: free-space loss ITU-R P.525-5 with the exact
// constant; radio horizon over an Earth of 4/3 its radius (US Federal Standard 1037C); S-units IARU Region 1 Technical
// Recommendation R.1 (1981).

#include <string>

#include "protocol/base/result.hpp"

namespace ladderline::domain {

// dB between isotropic antennas. Preconditions: both above 0.
double free_space_loss_db(double frequency_mhz, double distance_km);
// Farthest distance at which two antennas see each other, km. Heights above ground, m, 0 or more.
double radio_horizon_km(double one_height_m, double other_height_m);
double dbm_of_watt(double watt);

struct Link {
    double frequency_mhz = 0;
    double distance_km = 0;
    double power_w = 0;
    double gains_dbi = 0;  // of both antennas together
    double losses_db = 0;  // of both feed lines together
    double one_height_m = 0;
    double other_height_m = 0;
};

struct LinkEstimate {
    double received_dbm = 0;
    double horizon_km = 0;
    bool is_in_sight = false;
};

// bad_input: a number out of range, in one sentence.
Result<LinkEstimate> estimate(const Link& link);

// As a meter would show it if it kept to the recommendation, which few do: "S0" to "S9", "S9+20". Above 30 MHz S9 is 20
// dB less. Rounded down to the unit, above S9 to whole 10 dB.
std::string s_reading(double received_dbm, double frequency_mhz);

}  // namespace ladderline::domain
