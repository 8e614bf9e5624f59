#include "node/domain/review/cohorts.hpp"

#include <doctest/doctest.h>

#include "node/domain/review/outcomes.hpp"
#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline::domain;

namespace {

std::vector<CohortWait> random_waits(std::size_t persons, std::uint64_t seed) {
    ladderline::test::SplitMix random{seed};
    std::vector<CohortWait> out;
    for (std::size_t i = 0; i < persons; ++i) {
        const double days = random.below(30);
        out.push_back({{days, random.below(3) > 0}, i % 2, 0});
    }
    return out;
}

}  // namespace

TEST_CASE("nobody, or one group alone, gives nothing to compare") {
    CHECK(log_rank({}, 2).degrees == 0);
    CHECK(log_rank({}, 2).p == 1);
    std::vector<CohortWait> alone{{{3, true}, 0, 0}, {{4, true}, 0, 0}};
    CHECK(log_rank(alone, 2).degrees == 0);
}

TEST_CASE("a group without anybody at risk is left out of the degrees") {
    CHECK(log_rank(random_waits(40, 1), 5).degrees == 1);
}

TEST_CASE("observed and expected events of all groups are the same in sum") {
    const LogRank test = log_rank(random_waits(200, 2), 2, TimeWeight::early);
    CHECK(test.observed[0] + test.observed[1] == doctest::Approx(test.expected[0] + test.expected[1]));
}

TEST_CASE("the order in which people are listed changes nothing") {
    auto waits = random_waits(60, 3);
    const double before = log_rank(waits, 2).chi_square;
    std::reverse(waits.begin(), waits.end());
    CHECK(log_rank(waits, 2).chi_square == doctest::Approx(before));
}

TEST_CASE("with too many people to try everything the permutations are drawn, the same each time") {
    const auto waits = random_waits(60, 4);
    const PermutationTest test = permutation_test(waits);
    CHECK_FALSE(test.exact);
    CHECK(test.looked_at == 100'000);
    CHECK(permutation_test(waits).as_large == test.as_large);
    // Beside the chi-square approximation, which is good at this size.
    CHECK(test.p() == doctest::Approx(log_rank(waits, 2).p).epsilon(0.15));
}

TEST_CASE("a group of everybody has one permutation, itself") {
    const std::vector<CohortWait> waits{{{3, true}, 0, 0}, {{4, true}, 0, 0}};
    const PermutationTest test = permutation_test(waits);
    CHECK(test.looked_at == 1);
    CHECK(test.p() == 1);
}

TEST_CASE("those still there, those who got there and those who left are everybody") {
    ladderline::test::SplitMix random{5};
    std::vector<Outcome> outcomes;
    for (int i = 0; i < 300; ++i) {
        const End ends[] = {End::open, End::reached, End::left};
        const double days = random.below(50);
        outcomes.push_back({days, ends[random.below(3)]});
    }
    const OutcomeCurves curves = OutcomeCurves::of(outcomes);
    for (const OutcomeStep& step : curves.steps())
        CHECK(step.still + step.share[0] + step.share[1] == doctest::Approx(1));
}

TEST_CASE("without leavers and open ends a share is a count") {
    std::vector<Outcome> outcomes;
    for (int i = 1; i <= 20; ++i) outcomes.push_back({static_cast<double>(i), End::reached});
    const OutcomeCurves curves = OutcomeCurves::of(outcomes);
    CHECK(curves.share_at(End::reached, 5) == doctest::Approx(0.25));
    CHECK(curves.share_at(End::left, 5) == 0);
}
