#include "node/domain/study/calibration.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace ladderline::domain;

namespace {

PaperForecast paper(int points, bool passed = true) {
    return {0.8, 26, 22, 30, points, passed};
}

}  // namespace

TEST_CASE("no paper says nothing") {
    const Calibration none = calibrate({});
    CHECK(none.papers == 0);
    CHECK_FALSE(none.is_telling());
    CHECK(none.band_chance == 1);
}

TEST_CASE("papers are counted in, below and above the band, both ends being in it") {
    const std::vector<PaperForecast> papers{paper(21), paper(22), paper(26), paper(30), paper(31), paper(35)};
    const Calibration c = calibrate(papers);
    CHECK(c.papers == 6);
    CHECK(c.below == 1);
    CHECK(c.in_band == 3);
    CHECK(c.above == 2);
}

TEST_CASE("points and passes are set against what was to be expected") {
    const std::vector<PaperForecast> papers{{0.5, 25, 20, 30, 27, true}, {0.75, 27, 22, 31, 24, false}};
    const Calibration c = calibrate(papers);
    CHECK(c.passed == 1);
    CHECK(c.passes_expected == doctest::Approx(1.25));
    CHECK(c.points_mean == doctest::Approx(25.5));
    CHECK(c.points_expected_mean == doctest::Approx(26));
    CHECK(c.few_passes_chance == doctest::Approx(1 - 0.5 * 0.75));
    CHECK(c.many_passes_chance == doctest::Approx(1 - 0.5 * 0.25));
}

TEST_CASE("the chance of so few papers in the band is the binomial tail of nine in ten") {
    std::vector<PaperForecast> papers(10, paper(26));
    CHECK(calibrate(papers).band_chance == doctest::Approx(1));
    papers[0] = paper(35);
    CHECK(calibrate(papers).band_chance == doctest::Approx(1 - std::pow(0.9, 10)));
    papers[1] = paper(10);
    CHECK(calibrate(papers).band_chance == doctest::Approx(1 - std::pow(0.9, 10) - std::pow(0.9, 9)));
}

TEST_CASE("nine papers tell nothing, ten do") {
    CHECK_FALSE(calibrate(std::vector<PaperForecast>(9, paper(26))).is_telling());
    CHECK(calibrate(std::vector<PaperForecast>(10, paper(26))).is_telling());
}
