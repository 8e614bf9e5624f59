#include "node/commands/worksheet.hpp"

#include <doctest/doctest.h>

#include <algorithm>

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

TEST_CASE("a near distance stands in the sheet as it was asked, beside the density that belongs to it") {
    // k EIRP / 4 pi R^2 with k = 2.56, 0.1 W, 2.15 dBi (a factor of 1.6406): 1.337 mW/cm2 at 5 cm, 0.334 at 10 cm.
    const auto words = node::worksheet_words(carrier(446, 0.1, 0.05));
    CHECK(std::count(words.begin(), words.end(),
                     "At 0.05 m, for people who know: 1.34 mW/cm2 of at most 1.49, within the limit.") == 1);
}

TEST_CASE("full power stands in the sheet as a plain number") {
    // 47 CFR 97.313(b): 1.5 kW PEP.
    CHECK(node::worksheet_words(carrier(14.2, 1500, 5)).front() ==
          "Power into the antenna in the mean: 1500 W over the worst 6 minutes, 1500 W over the worst 30.");
}

TEST_CASE("a density a hair above the limit is not printed as the limit") {
    // 47 CFR 1.1310(e), Table 1: 1 mW/cm2 for people who know, 30 to 300 MHz. A hair inside the least distance.
    node::Worksheet sheet = carrier(146.52, 50, 3);
    sheet = must(node::worksheet(sheet.transmission, sheet.informed.least_distance_m * 0.9999));
    const auto words = node::worksheet_words(sheet);
    CHECK(std::count_if(words.begin(), words.end(), [](const std::string& line) {
              return line.find("1.0002 mW/cm2 of at most 1, OVER THE LIMIT.") != std::string::npos;
          }) == 1);
}

}  // namespace
}  // namespace ladderline
