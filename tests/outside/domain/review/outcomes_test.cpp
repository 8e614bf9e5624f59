// Two ends that shut each other out, by hand and against R 4.2.2, survival 3.5.3 (survfit with a multi-state response).
#include "node/domain/review/outcomes.hpp"

#include <doctest/doctest.h>

#include "node/domain/review/cohorts.hpp"
#include "tests/support/domain/check_data.hpp"

using namespace ladderline::domain;
using ladderline::test::rounds_to;

namespace {

constexpr End ends[] = {End::open, End::reached, End::left};

// Monoclonal gammopathy, months: Kyle et al., N. Engl. J. Med. 346 (2002), as published with R's package survival.
// Kind 1 is progression, 2 death. Groups: 0 women, 1 men.
struct Patient {
    Outcome outcome;
    std::size_t group;
};
std::vector<Patient> patients() {
    std::vector<Patient> out;
    const auto text = ladderline::test::check_file("vectors/mgus2_compete.csv");
    if (!text) return out;
    for (const auto& row : ladderline::test::rows_of(*text)) {
        out.push_back({{std::stod(row.at(0)), ends[std::stoul(row.at(1))]}, row.at(2) == "M" ? 1U : 0U});
    }
    return out;
}

OutcomeCurves curves_of(const std::vector<Patient>& all, std::optional<std::size_t> group = {}) {
    std::vector<Outcome> outcomes;
    for (const Patient& one : all) {
        if (!group || one.group == *group) outcomes.push_back(one.outcome);
    }
    return OutcomeCurves::of(outcomes);
}

}  // namespace

TEST_CASE("ten people worked out by hand have these shares and variances") {
    const double days[] = {1, 2, 2, 3, 4, 4, 5, 6, 7, 8};
    const int kinds[] = {1, 2, 1, 0, 1, 2, 0, 1, 2, 0};
    std::vector<Outcome> outcomes;
    for (std::size_t i = 0; i < std::size(days); ++i) outcomes.push_back({days[i], ends[kinds[i]]});
    const OutcomeCurves curves = OutcomeCurves::of(outcomes);
    struct Point {
        End end;
        double days;
        double share;
        double variance;
    };
    for (const Point& point :
         {Point{End::reached, 1, 0.1, 0.009}, Point{End::reached, 2, 0.2, 0.016},
          Point{End::reached, 4, 0.3166666667, 0.02325925926}, Point{End::reached, 6, 0.4722222222, 0.03172839506},
          Point{End::left, 2, 0.1, 0.009}, Point{End::left, 4, 0.2166666667, 0.01859259259},
          Point{End::left, 7, 0.3722222222, 0.03017283951}}) {
        CAPTURE(point.days);
        CHECK(rounds_to(curves.share_at(point.end, point.days), point.share, 10));
        CHECK(rounds_to(curves.variance_at(point.end, point.days), point.variance, 10));
    }
}

TEST_CASE("shares and variances of 1,384 patients are R's") {
    const auto all = patients();
    if (all.empty()) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; vectors/mgus2_compete.csv was not looked at.");
        return;
    }
    REQUIRE(all.size() == 1384);
    struct Row {
        double months;
        double still;
        double reached;
        double left;
        double reached_variance;
        double left_variance;
        double leavers_as_waiting;
    };
    const OutcomeCurves curves = curves_of(all);
    std::vector<Wait> naive;
    for (const Patient& one : all) naive.push_back({one.outcome.days, one.outcome.end == End::reached});
    const SurvivalCurve wrong = SurvivalCurve::of(naive);
    for (const Row& row :
         {Row{12, 0.8684133378, 0.009401259345, 0.1221854028, 6.734833434e-06, 7.754712195e-05, 0.01028210054},
          Row{60, 0.6455292768, 0.03410371297, 0.3203670103, 2.390484289e-05, 1.579388276e-04, 0.04215386168},
          Row{120, 0.4044601279, 0.06372216801, 0.5318177041, 4.619714850e-05, 1.976736221e-04, 0.09522165935},
          Row{240, 0.1761583079, 0.09981371594, 0.7240279761, 9.574322677e-05, 2.435580064e-04, 0.20956162449},
          Row{360, 0.0817501088, 0.1340416443, 0.7842082468, 4.051187727e-04, 4.382101468e-04, 0.42483694090}}) {
        CAPTURE(row.months);
        CHECK(rounds_to(curves.still_at(row.months), row.still, 10));
        CHECK(rounds_to(curves.share_at(End::reached, row.months), row.reached, 10));
        CHECK(rounds_to(curves.share_at(End::left, row.months), row.left, 10));
        CHECK(curves.variance_at(End::reached, row.months) == doctest::Approx(row.reached_variance).epsilon(1e-9));
        CHECK(curves.variance_at(End::left, row.months) == doctest::Approx(row.left_variance).epsilon(1e-9));
        CHECK(rounds_to(wrong.reached_by(row.months), row.leavers_as_waiting, 10));
    }
}

TEST_CASE("shares of women and of men are R's") {
    const auto all = patients();
    if (all.empty()) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; vectors/mgus2_compete.csv was not looked at.");
        return;
    }
    const double months[] = {60, 120, 240};
    const double shares[2][3] = {{0.03978962150, 0.07388566438, 0.10494067419},
                                 {0.02934628446, 0.05531024065, 0.09565075503}};
    for (std::size_t group = 0; group < 2; ++group) {
        const OutcomeCurves curves = curves_of(all, group);
        for (std::size_t k = 0; k < 3; ++k) {
            CHECK(rounds_to(curves.share_at(End::reached, months[k]), shares[group][k], 10));
        }
    }
}

TEST_CASE("the log-rank test of women and men, death counted as open, is R's") {
    const auto all = patients();
    if (all.empty()) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; vectors/mgus2_compete.csv was not looked at.");
        return;
    }
    std::vector<CohortWait> waits;
    for (const Patient& one : all) {
        waits.push_back({{one.outcome.days, one.outcome.end == End::reached}, one.group, 0});
    }
    const LogRank test = log_rank(waits, 2);
    CHECK(rounds_to(test.chi_square, 0.100645496773, 12));
    CHECK(test.observed == std::vector<double>{59, 56});
    CHECK(rounds_to(test.expected[0], 57.30577417, 8));
    CHECK(rounds_to(test.expected[1], 57.69422583, 8));
}
