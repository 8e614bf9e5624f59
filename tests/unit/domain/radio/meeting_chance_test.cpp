#include "node/domain/radio/meeting_chance.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

ChanceAsk ask(const char* one, const char* other, double mhz, const char* iso = "2026-06-21T18:00Z") {
    ChanceAsk out;
    out.one.name = "Ana";
    out.other.name = "Ben";
    if (*one != '\0') out.one.locator = Locator::parse(one).value();
    if (*other != '\0') out.other.locator = Locator::parse(other).value();
    out.frequency_mhz = mhz;
    out.start = parse_utc(iso).value();
    return out;
}

bool says(const Chance& chance, std::string_view words) {
    return std::any_of(chance.sentences.begin(), chance.sentences.end(),
                       [&](const std::string& s) { return s.find(words) != std::string::npos; });
}

// 41.74 N 72.71 W and about 28 km to the east.
constexpr const char* here = "FN31pr21";
constexpr const char* near_by = "FN31tr21";

}  // namespace

TEST_CASE("without a locator nothing is said of the path, and it is said whose is lacking") {
    const Chance chance = chance_of(ask("FN31pr", "", 146.52)).value();
    CHECK(chance.kind == ChanceKind::not_known);
    CHECK(says(chance, "Ben has no locator"));
}

TEST_CASE("two squares of four characters that touch tell no distance on a straight path") {
    const Chance chance = chance_of(ask("FN31", "FN32", 146.52)).value();
    CHECK(chance.kind == ChanceKind::not_known);
    CHECK(says(chance, "six characters"));
}

// Distances on the WGS84 ellipsoid by Karney's geodesic: 4.6 km from FN31pr to FN31ps, 405 km from FN31 to FM19 and 477
// km from FN31 to FM18, each between the centres of the squares. Horizon over a 4/3 earth: 4.12 (sqrt 2 + sqrt 2)
// = 11.7 km for two handhelds.
TEST_CASE("six characters each work the straight path out, however near the two are") {
    const Chance chance = chance_of(ask("FN31pr", "FN31ps", 146.52)).value();
    CHECK(chance.kind == ChanceKind::good);
    CHECK(says(chance, "5 km"));
    CHECK_FALSE(says(chance, "six characters"));
}

TEST_CASE("squares whose nearest corners are beyond the horizon are told of a repeater, not called near") {
    const Chance chance = chance_of(ask("FN31", "FM19", 146.52)).value();
    CHECK(chance.kind == ChanceKind::poor);
    CHECK(says(chance, "repeater"));
    CHECK(says(chance, "between "));
}

TEST_CASE("hundreds of kilometres on shortwave are not called near") {
    const Chance chance = chance_of(ask("FN31", "FM18", 7.2)).value();
    CHECK_FALSE(says(chance, "near"));
    CHECK(says(chance, "between 270 and 690 km"));
}

TEST_CASE("one square of six characters is in sight of handhelds from corner to corner") {
    // A square of 2.5' by 5' at 41.7 degrees is 4.6 by 6.9 km: 8.4 km from corner to corner.
    const Chance chance = chance_of(ask("FN31pr", "FN31pr", 146.52)).value();
    CHECK(chance.kind == ChanceKind::good);
    CHECK(says(chance, "within 9 km of one another"));
}

TEST_CASE("handhelds beyond their horizon are told of a repeater") {
    const Chance chance = chance_of(ask(here, near_by, 146.52)).value();
    CHECK(chance.kind == ChanceKind::poor);
    CHECK(says(chance, "repeater"));
    CHECK(says(chance, "Assumed, because it is not known here"));
}

TEST_CASE("with antennas on masts the same path is in sight and strong enough") {
    ChanceAsk request = ask(here, near_by, 146.52);
    request.one.height_m = 20;
    request.other.height_m = 20;
    request.power_w = 50;
    const Chance chance = chance_of(request).value();
    CHECK(chance.kind == ChanceKind::good);
    CHECK_FALSE(says(chance, "Assumed"));
}

TEST_CASE("a few milliwatts in sight are a fair chance and no more") {
    ChanceAsk request = ask(here, near_by, 446);
    request.one.height_m = 20;
    request.other.height_m = 20;
    request.power_w = 0.005;
    CHECK(chance_of(request).value().kind == ChanceKind::fair);
}

TEST_CASE("shortwave is told by the light at both ends, as a chance and no forecast") {
    const Chance by_day = chance_of(ask("FN31pr", "EM75kb", 14.28)).value();
    CHECK(by_day.kind == ChanceKind::by_light);
    CHECK(says(by_day, "day at both ends"));
    CHECK(says(by_day, "not a forecast"));
    const Chance by_night = chance_of(ask("FN31pr", "EM75kb", 3.87, "2026-12-21T04:00Z")).value();
    CHECK(says(by_night, "dark at both ends"));
}

TEST_CASE("the grey line of both ends is named with its times") {
    const Chance chance = chance_of(ask("FN31pr", "PM95vq", 7.06, "2026-11-25T21:00Z")).value();
    CHECK(says(chance, "grey line from 2026-11-25T20:59Z to 2026-11-25T21:54Z"));
}

TEST_CASE("a power, a height or a frequency that cannot be is refused in one sentence") {
    ChanceAsk request = ask(here, near_by, 0);
    CHECK_FALSE(chance_of(request).has_value());
    request.frequency_mhz = 146;
    request.power_w = -5;
    CHECK_FALSE(chance_of(request).has_value());
    request.power_w = 5;
    request.one.height_m = 1e6;
    CHECK_FALSE(chance_of(request).has_value());
}
