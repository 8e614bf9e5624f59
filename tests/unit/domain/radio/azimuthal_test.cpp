#include "node/domain/radio/azimuthal.hpp"

#include <doctest/doctest.h>

using namespace ladderline::domain;

TEST_CASE("a map has two to five rings, each at a round distance") {
    struct Case {
        double reach_km;
        double ring_km;
    };
    for (const Case& c : {Case{10, 2}, Case{24, 5}, Case{26, 10}, Case{99, 20}, Case{5407, 2000}, Case{20'015, 5000}}) {
        CAPTURE(c.reach_km);
        CHECK(ring_step_km(c.reach_km) == doctest::Approx(c.ring_km));
    }
    for (double reach = 1; reach < 20'100; reach *= 1.07) {
        CAPTURE(reach);
        CHECK(reach / ring_step_km(reach) <= 5.0001);
        CHECK(reach / ring_step_km(reach) > 2);
    }
}
