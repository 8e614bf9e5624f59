// Positions and locators that others have published.
#include "node/domain/radio/locator.hpp"

#include <doctest/doctest.h>

using namespace ladderline::domain;

namespace {

struct Place {
    const char* name;
    Position position;
    const char* locator;
};

}  // namespace

TEST_CASE("published positions have their published locators") {
    // Locator examples of public descriptions of the system, as used in its reference implementations.
    static constexpr Place places[] = {
        {"Munich", {48.14666, 11.60833}, "JN58td"},
        {"Montevideo", {-34.91, -56.21166}, "GF15vc"},
        {"Washington", {38.92, -77.065}, "FM18lw"},
        {"Wellington", {-41.28333, 174.745}, "RE78ir"},
        {"origin", {0, 0}, "JJ00aa"},
        {"south pole at 180 W", {-90, -180}, "AA00aa"},
        {"north pole at 180 E, which is 180 W", {90, 180}, "AR09ax"},
    };
    for (const Place& place : places) {
        CAPTURE(place.name);
        CHECK(Locator::of(place.position, LocatorLength::six).value().text() == place.locator);
    }
}

TEST_CASE("eight characters agree with independently computed ones") {
    // Computed from the step table with exact fractions; BL11bh is also published.
    static constexpr Place places[] = {
        {"origin", {0, 0}, "JJ00aa00"},
        {"just south-west of it", {-0.001, -0.001}, "II99xx99"},
        {"Greenwich", {51.4779, -0.0015}, "IO91xl94"},
        {"Washington Monument", {38.8895, -77.0353}, "FM18lv53"},
        {"Denver, state capitol", {39.7393, -104.9848}, "DM79mr17"},
        {"Sydney, opera house", {-33.8568, 151.2153}, "QF56od54"},
        {"Munich", {48.14666, 11.60833}, "JN58td25"},
        {"Montevideo", {-34.91, -56.21166}, "GF15vc41"},
        {"Honolulu", {21.3067, -157.8588}, "BL11bh63"},
        {"Anchorage", {61.2176, -149.8997}, "BP51bf22"},
        {"south pole", {-90, -180}, "AA00aa00"},
    };
    for (const Place& place : places) {
        CAPTURE(place.name);
        CHECK(Locator::of(place.position, LocatorLength::eight).value().text() == place.locator);
    }
}
