#include "node/domain/radio/meeting_chance.hpp"

#include <algorithm>
#include <cmath>

#include "node/domain/radio/link_budget.hpp"
#include "node/domain/radio/path.hpp"
#include "node/domain/radio/sun.hpp"

namespace ladderline::domain {
namespace {

constexpr double straight_mhz_min = 30;  // below, the ionosphere carries
constexpr double readable_dbm = -107;    // 1 microvolt at 50 ohms: a readable FM voice (common practice, no source)
constexpr double good_margin_db = 20;    // for trees, houses and a handheld's poor antenna (common practice, no source)
constexpr double assumed_height_m = 2;   // held in the hand
constexpr double assumed_power_w = 5;    // a handheld
constexpr double assumed_gains_dbi = 0;  // of both together: a handheld's antenna loses what the other's gains
constexpr double assumed_losses_db = 2;
constexpr double dark_band_mhz_max = 10;  // carries far in the dark; above 14 MHz by day (common practice, no source)
constexpr double ground_km = 50;          // reached without the sky on most bands (common practice, no source)

std::string number(double value) {
    return std::to_string(static_cast<long long>(std::llround(value)));
}

std::string light_words(Light light) {
    switch (light) {
        case Light::day:
            return "day";
        case Light::twilight:
            return "twilight";
        case Light::night:
            break;
    }
    return "night";
}

// How far apart the two can be, as far as their locators tell.
struct Reach {
    Path path;
    bool is_told = false;  // the locators are fine enough for path.distance_km
    double nearest_km = 0;
    double farthest_km = 0;
};

bool is_coarse(const StationEnd& end) {
    return end.locator->length() == LocatorLength::four;
}

Reach reach_of(const ChanceAsk& ask) {
    const Locator& one = *ask.one.locator;
    const Locator& other = *ask.other.locator;
    Reach out;
    out.path = path_between(one, other);
    const bool coarse = is_coarse(ask.one) || is_coarse(ask.other);
    const bool far = out.path.kind == PathKind::ordinary || out.path.kind == PathKind::any_direction;
    out.is_told = far || (!coarse && out.path.distance_km > 0);
    const Apart all = apart(one, other);
    const double step_km = coarse ? 10 : 1;
    out.nearest_km = std::floor(all.least_km() / step_km) * step_km;
    out.farthest_km = std::ceil(all.most_km() / step_km) * step_km;
    return out;
}

std::string way_words(const ChanceAsk& ask, const Reach& reach) {
    if (!reach.is_told && reach.nearest_km <= 0) {
        return "You are within " + number(reach.farthest_km) + " km of one another.";
    }
    const std::string from_to = "From " + ask.one.name + " to " + ask.other.name + " it is ";
    if (reach.is_told) return from_to + to_text(reach.path) + ".";
    return from_to + "between " + number(reach.nearest_km) + " and " + number(reach.farthest_km) +
           " km, as far as the locators tell.";
}

// Heights, power and what was assumed of them.
std::string assumed_words(const ChanceAsk& ask) {
    std::string out;
    const auto add = [&](const std::string& what) { out += (out.empty() ? "" : ", ") + what; };
    for (const StationEnd* end : {&ask.one, &ask.other}) {
        if (!end->height_m) add("an antenna " + number(assumed_height_m) + " m above the ground for " + end->name);
    }
    if (!ask.power_w) add(number(assumed_power_w) + " W");
    return out.empty() ? out : "Assumed, because it is not known here: " + out + ".";
}

// Where the distance is not told, the worst that the locators leave open.
Result<Chance> straight(const ChanceAsk& ask, const Reach& reach) {
    Chance out;
    Link link;
    link.frequency_mhz = ask.frequency_mhz;
    link.distance_km = reach.is_told ? reach.path.distance_km : reach.farthest_km;
    link.power_w = ask.power_w.value_or(assumed_power_w);
    link.gains_dbi = assumed_gains_dbi;
    link.losses_db = assumed_losses_db;
    link.one_height_m = ask.one.height_m.value_or(assumed_height_m);
    link.other_height_m = ask.other.height_m.value_or(assumed_height_m);
    TRY(const LinkEstimate found, estimate(link));
    out.horizon_km = found.horizon_km;
    out.sentences.push_back("Over flat land these antennas see each other up to about " + number(found.horizon_km) +
                            " km. " + way_words(ask, reach));
    if (!reach.is_told && !found.is_in_sight && reach.nearest_km <= found.horizon_km) {
        const bool coarse = is_coarse(ask.one) || is_coarse(ask.other);
        out.sentences.push_back("Whether you are in sight of one another is not known from " + ask.one.locator->text() +
                                " and " + ask.other.locator->text() +
                                (coarse ? "; with six characters each it can be worked out." : "."));
        return out;
    }
    if (reach.is_told) out.distance_km = reach.path.distance_km;
    out.margin_db = found.received_dbm - readable_dbm;
    if (!found.is_in_sight) {
        out.kind = ChanceKind::poor;
        out.sentences.emplace_back(
            "That is beyond their horizon: arrange a repeater that both reach, or a higher place for one of you.");
    } else if (*out.margin_db < good_margin_db) {
        out.kind = ChanceKind::fair;
        out.sentences.push_back(
            "In free space the signal is " + number(*out.margin_db) +
            " dB above what a voice needs. That is not much: houses and trees take 20 dB and more.");
    } else {
        out.kind = ChanceKind::good;
        out.sentences.push_back("In free space the signal is " + number(*out.margin_db) +
                                " dB above what a voice needs, so it should do unless a hill stands between you.");
    }
    const std::string assumed = assumed_words(ask);
    if (!assumed.empty()) out.sentences.push_back(assumed);
    return out;
}

Chance by_sky(const ChanceAsk& ask, const Reach& reach) {
    Chance out;
    out.kind = ChanceKind::by_light;
    if (reach.is_told) out.distance_km = reach.path.distance_km;
    const Position here = ask.one.locator->centre();
    const Position there = ask.other.locator->centre();
    const Light light_here = light_at(ask.start, here);
    const Light light_there = light_at(ask.start, there);
    out.sentences.push_back(way_words(ask, reach) + " At that time it is " + light_words(light_here) + " at " +
                            ask.one.name + "'s end and " + light_words(light_there) + " at " + ask.other.name + "'s.");
    if ((reach.is_told ? reach.path.distance_km : reach.farthest_km) < ground_km) {
        out.sentences.emplace_back("That near, the signal mostly runs along the ground, whatever the light.");
    } else if (ask.frequency_mhz <= dark_band_mhz_max) {
        out.sentences.emplace_back(light_here == Light::night && light_there == Light::night
                                       ? "Bands up to 10 MHz carry far in the dark, and it is dark at both ends."
                                       : "Bands up to 10 MHz carry far in the dark, and some hundreds of km by day.");
    } else {
        out.sentences.emplace_back(
            light_here == Light::day && light_there == Light::day
                ? "Bands above 10 MHz carry far by day, and it is day at both ends."
                : "Bands above 10 MHz carry far by day; with one end in the dark it may be quiet.");
    }
    for (const TimeSpan& span : grey_line(utc_day(ask.start), here, there)) {
        out.sentences.push_back("Both ends are in the grey line from " + to_iso_minute(span.from) + " to " +
                                to_iso_minute(span.to) + ".");
    }
    out.sentences.emplace_back("A chance, not a forecast: what the sky carries changes from day to day.");
    return out;
}

}  // namespace

Result<Chance> chance_of(const ChanceAsk& ask) {
    if (!(ask.frequency_mhz > 0)) return Error{Fault::bad_input, "Say the frequency in MHz, as 146.52."};
    const bool sky = ask.frequency_mhz < straight_mhz_min;
    if (!ask.one.locator || !ask.other.locator) {
        Chance out;
        const StationEnd& lacking = ask.one.locator ? ask.other : ask.one;
        out.sentences.push_back("Whether the path can work is not known: " + lacking.name +
                                " has no locator on the card.");
        return out;
    }
    const Reach reach = reach_of(ask);
    return sky ? Result<Chance>(by_sky(ask, reach)) : straight(ask, reach);
}

}  // namespace ladderline::domain
