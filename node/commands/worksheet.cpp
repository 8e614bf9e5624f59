#include "node/commands/worksheet.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace ladderline::node {
namespace {

using domain::Exemption;
using domain::Exposure;

std::string number(double value, int digits) {
    char out[32];
    std::snprintf(out, sizeof out, "%.*f", digits, value);
    return out;
}

std::string as_asked(double metres) {
    char out[32];
    std::snprintf(out, sizeof out, "%.6g m", metres);
    return out;
}

std::string exempt_words(const Exposure& exposure) {
    switch (exposure.exempt) {
        case Exemption::tiny_power:
            return "Exempt from an evaluation: at most one milliwatt (47 CFR 1.1307(b)(3)(i)(A)).";
        case Exemption::body_worn:
            return "Exempt from an evaluation by the formula for small transmitters near the body (47 CFR "
                   "1.1307(b)(3)(i)(B)).";
        case Exemption::distance:
            return "Exempt from an evaluation by power and distance (47 CFR 1.1307(b)(3)(i)(C)).";
        case Exemption::none:
            break;
    }
    return "Not exempt at that distance: the rules ask for an evaluation, of which this worksheet is a part (47 CFR "
           "97.13(c), 1.1307(b)).";
}

std::string density_words(const char* who, const Exposure& exposure) {
    const std::string limit = plain_digits(exposure.limit_mw_cm2);
    std::string density = plain_digits(exposure.density_mw_cm2);
    constexpr int digits_max = 12;
    for (int count = 4; !exposure.is_within && density == limit && count <= digits_max; ++count) {
        density = plain_digits(exposure.density_mw_cm2, count);
    }
    return std::string(who) + ": " + density + " mW/cm2 of at most " + limit +
           (exposure.is_within ? ", within the limit." : ", OVER THE LIMIT.");
}

}  // namespace

std::string plain_digits(double value, int count) {
    constexpr int decimals_max = 15;
    if (!(value > 0) || !std::isfinite(value)) return number(value, 0);
    const int before_point = static_cast<int>(std::floor(std::log10(value))) + 1;
    std::string out = number(value, std::clamp(count - before_point, 0, decimals_max));
    if (out.find('.') == std::string::npos) return out;
    out.erase(out.find_last_not_of('0') + 1);
    if (out.ends_with('.')) out.pop_back();
    return out;
}

const std::vector<ModeDuty>& mode_duties() {
    static const std::vector<ModeDuty> all{{"ssb", "Single sideband, talking, no processor", 0.2},
                                           {"ssb-processed", "Single sideband with a speech processor", 0.5},
                                           {"cw", "Morse, in conversation", 0.4},
                                           {"fm", "FM voice", 1},
                                           {"data", "Teletype and most data modes", 1},
                                           {"slots", "Weak-signal data, on the air every other slot", 0.5},
                                           {"carrier", "A carrier, tuning up", 1}};
    return all;
}

Result<ModeDuty> find_mode_duty(std::string_view name) {
    const auto& all = mode_duties();
    const auto found = std::find_if(all.begin(), all.end(), [&](const ModeDuty& d) { return d.name == name; });
    if (found != all.end()) return *found;
    return Error{Fault::bad_input, "The mode is one of ssb, ssb-processed, cw, fm, data, slots and carrier."};
}

Result<Worksheet> worksheet(const domain::Transmission& transmission, double distance_m) {
    Worksheet out{transmission, distance_m, {}, {}};
    TRY(out.informed, domain::exposure_at(transmission, domain::Environment::controlled, distance_m));
    TRY(out.anybody, domain::exposure_at(transmission, domain::Environment::uncontrolled, distance_m));
    return out;
}

std::string at_least(double metres) {
    if (metres < 10) return number(std::ceil(metres * 10) / 10, 1) + " m";
    return number(std::ceil(metres), 0) + " m";
}

std::string near_field_words(const Worksheet& sheet) {
    const double nearest =
        std::min({sheet.distance_m, sheet.informed.least_distance_m, sheet.anybody.least_distance_m});
    const double near_field = domain::near_field_m(sheet.transmission.frequency_mhz);
    if (nearest >= near_field) return "";
    return "Nearer than " + at_least(near_field) +
           ", a sixth of a wavelength, these formulas may come out too low: keep farther away than that, or have it "
           "evaluated.";
}

bool is_over_limit(const Worksheet& sheet) {
    const auto is_over = [](const Exposure& one) { return !one.is_within && one.exempt == Exemption::none; };
    return is_over(sheet.informed) || is_over(sheet.anybody);
}

std::string over_limit_words(const Worksheet& sheet) {
    if (!is_over_limit(sheet)) return "";
    return "Over the limit at " + as_asked(sheet.distance_m) +
           ": have people farther away, or send with less power, before it sends.";
}

std::vector<std::string> worksheet_words(const Worksheet& sheet) {
    std::vector<std::string> out;
    out.push_back("Power into the antenna in the mean: " + plain_digits(sheet.informed.average_w) +
                  " W over the worst 6 minutes, " + plain_digits(sheet.anybody.average_w) + " W over the worst 30.");
    out.push_back("People who know of it and can step back: at least " + at_least(sheet.informed.least_distance_m) +
                  " from the nearest part of the antenna.");
    out.push_back("Everybody else, neighbours and passers-by: at least " + at_least(sheet.anybody.least_distance_m) +
                  ".");
    if (std::string nearer = near_field_words(sheet); !nearer.empty()) out.push_back(std::move(nearer));
    out.push_back(
        density_words(("At " + as_asked(sheet.distance_m) + ", for people who know").c_str(), sheet.informed));
    out.push_back(density_words(("At " + as_asked(sheet.distance_m) + ", for everybody else").c_str(), sheet.anybody));
    out.push_back(exempt_words(sheet.anybody));
    return out;
}

std::vector<std::string> worksheet_cautions() {
    return {
        "This helps with the worksheet and decides nothing: the rules do (47 CFR 1.1310 and OET Bulletin 65 in the "
        "United States, your own regulator elsewhere), and the licensed operator answers for the station.",
        "Never touch or stand right beside an antenna that may be sent on, whatever the figures say; keep children "
        "and animals away from its wires and from the ground rods.",
        "Work it out again after any change of frequency, power, antenna, height, mode, time on the air or place."};
}

}  // namespace ladderline::node
