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

TEST_CASE("ten people worked out by hand have these shares") {
    const double days[] = {1, 2, 2, 3, 4, 4, 5, 6, 7, 8};
    const int kinds[] = {1, 2, 1, 0, 1, 2, 0, 1, 2, 0};
    std::vector<Outcome> outcomes;
    for (std::size_t i = 0; i < std::size(days); ++i) outcomes.push_back({days[i], ends[kinds[i]]});
    const OutcomeCurves curves = OutcomeCurves::of(outcomes);
    struct Point {
        End end;
        double days;
        double share;
    };
    for (const Point& point :
         {Point{End::reached, 1, 0.1}, Point{End::reached, 2, 0.2}, Point{End::reached, 4, 0.3166666667},
          Point{End::reached, 6, 0.4722222222}, Point{End::left, 2, 0.1}, Point{End::left, 4, 0.2166666667},
          Point{End::left, 7, 0.3722222222}}) {
        CAPTURE(point.days);
        CHECK(rounds_to(curves.share_at(point.end, point.days), point.share, 10));
    }
}

TEST_CASE("shares of 1,384 patients are R's") {
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
        double leavers_as_waiting;
    };
    const OutcomeCurves curves = curves_of(all);
    std::vector<Wait> naive;
    for (const Patient& one : all) naive.push_back({one.outcome.days, one.outcome.end == End::reached});
    const SurvivalCurve wrong = SurvivalCurve::of(naive);
    for (const Row& row : {Row{12, 0.8684133378, 0.009401259345, 0.1221854028, 0.01028210054},
                           Row{60, 0.6455292768, 0.03410371297, 0.3203670103, 0.04215386168},
                           Row{120, 0.4044601279, 0.06372216801, 0.5318177041, 0.09522165935},
                           Row{240, 0.1761583079, 0.09981371594, 0.7240279761, 0.20956162449},
                           Row{360, 0.0817501088, 0.1340416443, 0.7842082468, 0.42483694090}}) {
        CAPTURE(row.months);
        CHECK(rounds_to(curves.still_at(row.months), row.still, 10));
        CHECK(rounds_to(curves.share_at(End::reached, row.months), row.reached, 10));
        CHECK(rounds_to(curves.share_at(End::left, row.months), row.left, 10));
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
