// Survival curves of two published studies, against R.
#include "node/domain/review/survival.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/outside/domain/review/published_waits.hpp"
#include "tests/support/domain/check_data.hpp"

using namespace ladderline::domain;
using namespace ladderline::test::published;
using ladderline::test::rounds_to;

namespace {

struct Row {
    double days;
    std::size_t at_risk;
    std::size_t events;
    double survival;
    double standard_error;
    double lower;
    double upper;
};

constexpr double unset = -1;

struct Point {
    double days;
    double survival;
    double standard_error = unset;
    double lower = unset;
    double upper = unset;
};

void check_point(const SurvivalCurve& curve, const Point& point) {
    CAPTURE(point.days);
    CHECK(rounds_to(curve.survival_at(point.days), point.survival, 10));
    const auto step = std::find_if(curve.steps().begin(), curve.steps().end(),
                                   [&](const SurvivalStep& one) { return one.days == point.days; });
    REQUIRE(step != curve.steps().end());
    if (point.standard_error != unset) CHECK(rounds_to(step->standard_error, point.standard_error, 10));
    if (point.lower != unset) {
        REQUIRE(step->limits);
        CHECK(rounds_to(step->limits->lower, point.lower, 10));
        CHECK(rounds_to(step->limits->upper, point.upper, 10));
    }
}

void check_quantile(const Quantile& actual, std::optional<double> days, std::optional<double> lower,
                    std::optional<double> upper) {
    CHECK(actual.days == days);
    CHECK(actual.lower == lower);
    CHECK(actual.upper == upper);
}

}  // namespace

// All values: R 4.2.2, survival 3.5.3, survfit with conf.type = "log-log".

TEST_CASE("the treated group's curve has R's values at every event time") {
    static constexpr Row rows[] = {
        {6, 21, 3, 0.8571428571, 0.0763603548, 0.6197179553, 0.9515517476},
        {7, 17, 1, 0.8067226891, 0.0869352852, 0.5631465646, 0.9228090192},
        {10, 15, 1, 0.7529411765, 0.0963496530, 0.5031995108, 0.8893618352},
        {13, 12, 1, 0.6901960784, 0.1068147078, 0.4316102225, 0.8490659633},
        {16, 11, 1, 0.6274509804, 0.1140538653, 0.3675108560, 0.8049121895},
        {22, 7, 1, 0.5378151261, 0.1282337517, 0.2677789368, 0.7467907176},
        {23, 6, 1, 0.4481792717, 0.1345914568, 0.1880520060, 0.6801426285},
    };
    const SurvivalCurve curve = SurvivalCurve::of(treated);
    REQUIRE(curve.steps().size() == std::size(rows));
    for (std::size_t k = 0; k < std::size(rows); ++k) {
        const SurvivalStep& step = curve.steps()[k];
        CAPTURE(rows[k].days);
        CHECK(step.days == rows[k].days);
        CHECK(step.at_risk == rows[k].at_risk);
        CHECK(step.events == rows[k].events);
        check_point(curve, {rows[k].days, rows[k].survival, rows[k].standard_error, rows[k].lower, rows[k].upper});
    }
}

TEST_CASE("the control group's curve has R's values and no limits at its end") {
    const SurvivalCurve curve = SurvivalCurve::of(control);
    check_point(curve, {1, 0.9047619048, unset, 0.6700458822, 0.9752941490});
    check_point(curve, {8, 0.3809523810, unset, 0.1830665488, 0.5777886777});
    check_point(curve, {22, 0.0476190476, unset, 0.0033244630, 0.1970449057});
    CHECK(curve.survival_at(23) == 0);
    CHECK_FALSE(curve.steps().back().limits);
}

TEST_CASE("quartiles of the leukaemia data with limits are R's") {
    const SurvivalCurve a = SurvivalCurve::of(treated);
    check_quantile(a.quantile(0.25), 13, 6, 22);
    check_quantile(a.quantile(0.5), 23, 13, {});
    check_quantile(a.quantile(0.75), {}, 23, {});
    const SurvivalCurve b = SurvivalCurve::of(control);
    check_quantile(b.quantile(0.25), 4, 1, 5);
    check_quantile(b.quantile(0.5), 8, 4, 11);
    check_quantile(b.quantile(0.75), 12, 8, 22);
}

TEST_CASE("the maintained group's curve is R's") {
    static constexpr Point points[] = {
        {9, 0.9090909091, 0.0866784172},
        {13, 0.8181818182, 0.1162912998},
        {18, 0.7159090909, 0.1396649706},
        {23, 0.6136363636, 0.1526323310},
        {31, 0.4909090909, 0.1641932672, 0.1673309098, 0.7533997904},
        {34, 0.3681818182, 0.1626688858},
        {48, 0.1840909091, 0.1534927458, 0.0117384801, 0.5250148427},
    };
    const SurvivalCurve curve = SurvivalCurve::of(maintained);
    for (const Point& point : points) check_point(curve, point);
    CHECK(curve.steps().size() == std::size(points));
    check_quantile(curve.quantile(0.5), 31, 13, {});
}

TEST_CASE("the group without maintenance has R's curve") {
    static constexpr Point points[] = {
        {5, 0.8333333333},  {8, 0.6666666667},  {12, 0.5833333333, 0.1423187606, 0.2701389241, 0.8009401923},
        {23, 0.4861111111}, {27, 0.3888888889}, {30, 0.2916666667},
        {33, 0.1944444444}, {43, 0.0972222222}, {45, 0},
    };
    const SurvivalCurve curve = SurvivalCurve::of(not_maintained);
    for (const Point& point : points) check_point(curve, point);
    CHECK(curve.steps().size() == std::size(points));
    check_quantile(curve.quantile(0.5), 23, 5, 33);
}
