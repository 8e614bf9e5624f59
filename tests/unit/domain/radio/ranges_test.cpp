// What is out of range is said in one sentence, and nothing is worked out.
#include <doctest/doctest.h>

#include <cmath>

#include "node/domain/radio/exposure.hpp"
#include "node/domain/radio/link_budget.hpp"
#include "node/domain/radio/sun.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

Transmission usual() {
    Transmission t;
    t.frequency_mhz = 14.2;
    t.peak_w = 100;
    return t;
}

}  // namespace

TEST_CASE("every number of a transmission has a range") {
    REQUIRE(exposure_at(usual(), Environment::controlled, 3).has_value());
    const auto refuses = [](auto change) {
        Transmission t = usual();
        change(t);
        const auto said = exposure_at(t, Environment::controlled, 3);
        return !said && said.error().fault() == Fault::bad_input;
    };
    CHECK(refuses([](Transmission& t) { t.frequency_mhz = 0.2; }));
    CHECK(refuses([](Transmission& t) { t.peak_w = 0; }));
    CHECK(refuses([](Transmission& t) { t.mode_duty = 1.1; }));
    CHECK(refuses([](Transmission& t) { t.on_min = 0; }));
    CHECK(refuses([](Transmission& t) { t.off_min = -1; }));
    CHECK(refuses([](Transmission& t) { t.loss_db = -1; }));
    CHECK(refuses([](Transmission& t) { t.gain_dbi = std::nan(""); }));
    CHECK(refuses([](Transmission& t) { t.reflection = 5; }));
    CHECK_FALSE(exposure_at(usual(), Environment::controlled, 0).has_value());
}

TEST_CASE("the worksheet's line agrees with itself on either side of the least distance") {
    const Transmission t = usual();
    const double least = least_distance_m(t, Environment::uncontrolled);
    CHECK(exposure_at(t, Environment::uncontrolled, least * 1.001).value().is_within);
    CHECK_FALSE(exposure_at(t, Environment::uncontrolled, least * 0.999).value().is_within);
}

TEST_CASE("every number of a link has a range") {
    const Link good{146, 10, 5, 4, 1, 2, 10};
    const auto found = estimate(good);
    REQUIRE(found.has_value());
    CHECK(found.value().is_in_sight);
    Link far = good;
    far.distance_km = 30;
    CHECK_FALSE(estimate(far).value().is_in_sight);
    for (double Link::*number : {&Link::frequency_mhz, &Link::distance_km, &Link::power_w, &Link::gains_dbi,
                                 &Link::losses_db, &Link::one_height_m, &Link::other_height_m}) {
        Link bad = good;
        bad.*number = -1'000;
        CHECK_FALSE(estimate(bad).has_value());
    }
}

TEST_CASE("at the poles and across the date line the sun's events are found all the same") {
    const Day march = parse_day("2026-03-20").value();
    CHECK(sun_events(march, {90, 0}, rise_height_deg).kind == SunDay::stays_above);
    const auto west = sun_events(march, {0, -180}, rise_height_deg);
    const auto east = sun_events(march, {0, 180}, rise_height_deg);
    REQUIRE(west.rise.has_value());
    REQUIRE(east.rise.has_value());
    // The solar day of the same date comes to the west of the line a day later.
    CHECK(std::fabs(static_cast<double>(west.rise->ms - east.rise->ms) - 86'400'000) <= 60'000);
    CHECK(grey_line(march, {0, 179.9}).size() >= 2);
}

TEST_CASE("at a rise and a set the sun stands at the height of the event") {
    const Position greenwich{51.4779, 0};
    for (const double height_deg : {rise_height_deg, civil_height_deg}) {
        const SunEvents sun = sun_events(parse_day("2026-06-21").value(), greenwich, height_deg);
        CHECK(std::fabs(sun_height_deg(*sun.rise, greenwich) - height_deg) < 0.01);
        CHECK(std::fabs(sun_height_deg(*sun.set, greenwich) - height_deg) < 0.01);
    }
}
