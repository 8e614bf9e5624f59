// Groups compared, against R 4.2.2, survival 3.5.3 (survdiff), and a full enumeration.
#include "node/domain/review/cohorts.hpp"

#include <doctest/doctest.h>

#include "tests/outside/domain/review/published_waits.hpp"
#include "tests/support/domain/check_data.hpp"

using namespace ladderline::domain;
using namespace ladderline::test::published;
using ladderline::test::rounds_to;

namespace {

std::vector<CohortWait> grouped(const std::vector<std::vector<Wait>>& groups) {
    std::vector<CohortWait> out;
    for (std::size_t g = 0; g < groups.size(); ++g) {
        for (const Wait& wait : groups[g]) out.push_back({wait, g, 0});
    }
    return out;
}

}  // namespace

TEST_CASE("the log-rank test of the leukaemia data is R's") {
    const LogRank test = log_rank(grouped({control, treated}), 2);
    CHECK(rounds_to(test.chi_square, 16.7929409892, 10));
    CHECK(rounds_to(test.p * 1e5, 4.168809109, 9));
    CHECK(test.degrees == 1);
    CHECK(test.observed == std::vector<double>{21, 9});
    CHECK(rounds_to(test.expected[0], 10.74949905, 8));
    CHECK(rounds_to(test.expected[1], 19.25050095, 8));
    CHECK(rounds_to(test.variance[0][0], 6.256960574, 9));
}

TEST_CASE("with early differences weighted the leukaemia data give R's Peto-Peto value") {
    CHECK(rounds_to(log_rank(grouped({control, treated}), 2, TimeWeight::early).chi_square, 14.4571508187, 10));
}

// The published rows are pairs of one treated and one control patient.
TEST_CASE("stratified by odd and even pairs the leukaemia data give R's value") {
    std::vector<CohortWait> waits;
    for (std::size_t pair = 0; pair < control.size(); ++pair) {
        waits.push_back({control[pair], 0, (pair + 1) % 2});
        waits.push_back({treated[pair], 1, (pair + 1) % 2});
    }
    CHECK(rounds_to(log_rank(waits, 2).chi_square, 17.844553184, 9));
}

TEST_CASE("the log-rank test of the maintenance data is R's") {
    const LogRank test = log_rank(grouped({maintained, not_maintained}), 2);
    CHECK(rounds_to(test.chi_square, 3.39638869898, 11));
    CHECK(rounds_to(test.p, 0.06533932204, 11));
    CHECK(test.observed == std::vector<double>{7, 11});
    CHECK(rounds_to(test.expected[0], 10.68933599, 8));
    CHECK(rounds_to(test.expected[1], 7.310664008, 9));
    CHECK(rounds_to(test.variance[0][0], 4.007550746, 9));
    const auto early = log_rank(grouped({maintained, not_maintained}), 2, TimeWeight::early);
    CHECK(rounds_to(early.chi_square, 2.77927954475, 11));
}

TEST_CASE("three groups of the maintenance data give R's value on two degrees") {
    std::vector<CohortWait> waits = grouped({maintained, not_maintained});
    for (std::size_t i = 0; i < waits.size(); ++i) waits[i].group = i % 3;
    const LogRank test = log_rank(waits, 3);
    CHECK(rounds_to(test.chi_square, 0.856465545236, 12));
    CHECK(test.degrees == 2);
    CHECK(rounds_to(test.expected[0], 6.171735662, 9));
    CHECK(rounds_to(test.expected[1], 7.264657446, 9));
    CHECK(rounds_to(test.expected[2], 4.563606892, 9));
}

// Every one of the 1,352,078 ways to draw 11 of 23, counted by a program written apart from this one.
TEST_CASE("all permutations of the maintenance data give the enumerated share") {
    const PermutationTest test = permutation_test(grouped({maintained, not_maintained}));
    CHECK(test.exact);
    CHECK(test.looked_at == 1'352'078);
    CHECK(test.as_large == 87'470);
    CHECK(rounds_to(test.p(), 0.0646930133, 10));
    CHECK(rounds_to(test.score, -3.6893359923, 10));
}
