#include "node/domain/review/survival.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace ladderline::domain;

TEST_CASE("the curve of nobody stays at one and knows no median") {
    const SurvivalCurve curve = SurvivalCurve::of({});
    CHECK(curve.survival_at(1000) == 1);
    CHECK_FALSE(curve.quantile(0.5).days);
}

TEST_CASE("without censoring the curve is the share not there yet") {
    const SurvivalCurve curve = SurvivalCurve::of(std::vector<Wait>{{4, true}, {1, true}, {3, true}, {2, true}});
    CHECK(curve.survival_at(0) == 1);
    CHECK(curve.survival_at(1) == doctest::Approx(0.75));
    CHECK(curve.survival_at(2.5) == doctest::Approx(0.5));
    CHECK(curve.survival_at(4) == 0);
    CHECK(curve.events() == 4);
    CHECK(curve.persons() == 4);
}

TEST_CASE("somebody censored at an event's time is still at risk then") {
    const SurvivalCurve curve = SurvivalCurve::of(std::vector<Wait>{{5, false}, {5, true}, {9, true}});
    REQUIRE(curve.steps().size() == 2);
    CHECK(curve.steps()[0].at_risk == 3);
    CHECK(curve.survival_at(5) == doctest::Approx(2.0 / 3));
    CHECK(curve.steps()[1].at_risk == 1);
}

TEST_CASE("an event on the first day counts there") {
    const SurvivalCurve curve = SurvivalCurve::of(std::vector<Wait>{{0, true}, {3, false}});
    CHECK(curve.survival_at(0) == doctest::Approx(0.5));
    CHECK(curve.reached_by(0) == doctest::Approx(0.5));
}

TEST_CASE("a level that is just met takes the middle of its step") {
    const SurvivalCurve curve = SurvivalCurve::of(std::vector<Wait>{{1, true}, {2, true}, {6, true}, {9, true}});
    CHECK(curve.quantile(0.5).days == 4.0);
    CHECK(curve.quantile(0.25).days == 1.5);
    CHECK(curve.quantile(0.6).days == 6.0);
}

TEST_CASE("limits enclose the curve and order does not matter") {
    std::vector<Wait> waits;
    for (int k = 0; k < 40; ++k) waits.push_back({static_cast<double>(k * 17 % 23), k % 3 != 0});
    const SurvivalCurve curve = SurvivalCurve::of(waits);
    std::reverse(waits.begin(), waits.end());
    const SurvivalCurve again = SurvivalCurve::of(waits);
    REQUIRE(again.steps().size() == curve.steps().size());
    for (std::size_t k = 0; k < curve.steps().size(); ++k) {
        const SurvivalStep& step = curve.steps()[k];
        CHECK(step.survival == again.steps()[k].survival);
        if (!step.limits) continue;
        CHECK(step.limits->lower <= step.survival);
        CHECK(step.limits->upper >= step.survival);
    }
}

TEST_CASE("the last person's event ends the curve without limits") {
    const SurvivalCurve curve = SurvivalCurve::of(std::vector<Wait>{{1, false}, {2, true}});
    CHECK(curve.survival_at(2) == 0);
    CHECK_FALSE(curve.steps().back().limits);
    CHECK(curve.steps().back().standard_error == 0);
}
