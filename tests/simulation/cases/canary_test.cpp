// The alarm works: networks with a planted mistake are found out within a few seeds, and the plan that shows it can be
// made small.

#include <doctest/doctest.h>

#include "tests/simulation/campaign.hpp"
#include "tests/simulation/shrink.hpp"

using namespace ladderline;
using namespace ladderline::simulation;

namespace {

constexpr std::uint64_t seeds_max = 8;

PlanOptions small_worlds() {
    PlanOptions options;
    options.nodes = 4;
    options.steps = 80;
    return options;
}

// The first plan that goes wrong.
std::optional<Plan> find(Planted planted) {
    for (std::uint64_t seed = 40'000; seed < 40'000 + seeds_max; ++seed) {
        const Plan plan = make_plan(seed, small_worlds());
        if (!run_plan(plan, planted).wrong.empty()) return plan;
    }
    return std::nullopt;
}

}  // namespace

TEST_CASE("a node that loses logs is found out") {
    CHECK(find(Planted::loses_logs).has_value());
}

TEST_CASE("a table that asks the local clock is found out") {
    CHECK(find(Planted::asks_the_clock).has_value());
}

TEST_CASE("a table that hangs on the order of arrival is found out") {
    CHECK(find(Planted::order_dependent_model).has_value());
}

TEST_CASE("a failing plan shrinks to one that still fails, and is told in sentences") {
    const auto plan = find(Planted::order_dependent_model);
    REQUIRE(plan.has_value());
    const auto fails = [](const Plan& less) { return !run_plan(less, Planted::order_dependent_model).wrong.empty(); };
    const Plan small = shrink(*plan, fails, 40);
    CHECK(small.steps.size() < plan->steps.size());
    Story story;
    CHECK_FALSE(run_plan(small, Planted::order_dependent_model, &story).wrong.empty());
    REQUIRE_FALSE(story.lines().empty());
    CHECK(story.lines().back().find("WRONG") != std::string::npos);
}
