#include "node/commands/worksheet.hpp"

#include <doctest/doctest.h>

#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using namespace test;

node::Worksheet carrier(double mhz, double watt, double metres) {
    domain::Transmission t;
    t.frequency_mhz = mhz;
    t.peak_w = watt;
    t.on_min = 30;
    t.gain_dbi = 2.15;
    return must(node::worksheet(t, metres));
}

TEST_CASE("a least distance inside the near field is not left without a word") {
    // lambda / (2 pi) = 299.79 m / 3.6 / 6.283 = 13.25 m, worked out by hand.
    CHECK(node::near_field_words(carrier(3.6, 100, 15)).starts_with("Nearer than 14 m, a sixth of a wavelength"));
}

TEST_CASE("where people and what comes out are beyond the near field nothing is said of it") {
    CHECK(node::near_field_words(carrier(146.52, 50, 5)).empty());
}

}  // namespace
}  // namespace ladderline
