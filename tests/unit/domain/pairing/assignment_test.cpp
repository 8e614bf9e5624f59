#include "node/domain/pairing/assignment.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "node/domain/pairing/stability.hpp"
#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline::domain;
using ladderline::test::generated_pairing;
using ladderline::test::SplitMix;

namespace {

// The best objective by trying everything.
std::int64_t by_enumeration(const PairingProblem& problem, std::vector<std::int32_t>& mentor_of) {
    const std::size_t i = mentor_of.size();
    if (i == problem.newcomers()) return totals_of(problem, mentor_of).objective;
    mentor_of.push_back(nobody);
    std::int64_t best = by_enumeration(problem, mentor_of);
    for (const PairArc& arc : problem.candidates[i]) {
        const auto mentor = static_cast<std::int32_t>(arc.mentor);
        if (std::count(mentor_of.begin(), mentor_of.end(), mentor) >= problem.places[arc.mentor]) continue;
        mentor_of[i] = mentor;
        best = std::min(best, by_enumeration(problem, mentor_of));
    }
    mentor_of.pop_back();
    return best;
}

// Few places, many ties, waiting times and load costs.
PairingProblem small_problem(std::uint64_t seed) {
    SplitMix random{seed};
    PairingProblem out;
    const std::size_t mentors = 2 + static_cast<std::size_t>(random.below(2));
    for (std::size_t j = 0; j < mentors; ++j) out.places.push_back(random.below(4));
    for (int i = 0; i < 6; ++i) {
        std::vector<PairArc> arcs;
        for (std::uint32_t j = 0; j < mentors; ++j) {
            if (random.below(3) > 0) arcs.push_back({j, random.below(6) * 20});
        }
        out.candidates.push_back(arcs);
        out.waiting_points.push_back(random.below(3) * 10);
    }
    out.load_step = random.below(3) * 15;
    return out;
}

}  // namespace

TEST_CASE("with nobody to pair the answer is empty") {
    const Assignment none = solve_pairing({});
    CHECK(none.totals == PairingTotals{});
    PairingProblem lonely;
    lonely.candidates = {{}, {}};
    CHECK(solve_pairing(lonely).mentor_of == std::vector<std::int32_t>{nobody, nobody});
}

TEST_CASE("small problems are solved as well as by trying everything") {
    for (std::uint64_t seed = 0; seed < 300; ++seed) {
        CAPTURE(seed);
        const PairingProblem problem = small_problem(seed);
        const Assignment best = solve_pairing(problem);
        std::vector<std::int32_t> mentor_of;
        CHECK(best.totals.objective == by_enumeration(problem, mentor_of));
        CHECK(certificate_holds(problem, best));
    }
}

TEST_CASE("as many as possible are paired, however dear it is") {
    PairingProblem problem;
    problem.places = {1, 1};
    problem.candidates = {{{0, 0}, {1, 1000}}, {{0, 900}}};
    const Assignment best = solve_pairing(problem);
    CHECK(best.mentor_of == std::vector<std::int32_t>{1, 0});
    CHECK(best.totals.pair_cost == 1900);
}

TEST_CASE("of two who would do equally well the longer waiting one is paired") {
    PairingProblem problem;
    problem.places = {1};
    problem.candidates = {{{0, 100}}, {{0, 100}}};
    problem.waiting_points = {10, 30};
    CHECK(solve_pairing(problem).mentor_of == std::vector<std::int32_t>{nobody, 0});
    problem.waiting_points = {30, 10};
    CHECK(solve_pairing(problem).mentor_of == std::vector<std::int32_t>{0, nobody});
}

TEST_CASE("a cost for load spreads newcomers over mentors") {
    PairingProblem problem;
    problem.places = {3, 3};
    problem.candidates = {{{0, 10}, {1, 25}}, {{0, 10}, {1, 25}}, {{0, 10}, {1, 25}}};
    CHECK(loads_of(problem, solve_pairing(problem).mentor_of) == std::vector<std::int32_t>{3, 0});
    problem.load_step = 20;
    const Assignment even = solve_pairing(problem);
    CHECK(loads_of(problem, even.mentor_of) == std::vector<std::int32_t>{2, 1});
    CHECK(even.totals.load_cost == 20);
    CHECK(even.totals.pair_cost == 45);
}

TEST_CASE("a pausing mentor gets nobody") {
    PairingProblem problem;
    problem.places = {0, 1};
    problem.candidates = {{{0, 0}, {1, 500}}, {{0, 0}}};
    CHECK(solve_pairing(problem).mentor_of == std::vector<std::int32_t>{1, nobody});
}

TEST_CASE("the same problem has the same answer every time") {
    const PairingProblem problem = generated_pairing(200, 40, 10, 5);
    CHECK(solve_pairing(problem).mentor_of == solve_pairing(problem).mentor_of);
}

TEST_CASE("a certificate does not hold for a worse pairing or for wrong prices") {
    PairingProblem problem;
    problem.places = {1, 1};
    problem.candidates = {{{0, 10}, {1, 20}}, {{0, 10}, {1, 50}}};
    const Assignment best = solve_pairing(problem);
    REQUIRE(certificate_holds(problem, best));

    Assignment worse = best;
    std::swap(worse.mentor_of[0], worse.mentor_of[1]);
    worse.totals = totals_of(problem, worse.mentor_of);
    CHECK_FALSE(certificate_holds(problem, worse));

    Assignment mispriced = best;
    mispriced.mentor_price[0] += 1;
    CHECK_FALSE(certificate_holds(problem, mispriced));

    Assignment crowded = best;
    crowded.mentor_of = {0, 0};
    crowded.totals = totals_of(problem, crowded.mentor_of);
    CHECK_FALSE(certificate_holds(problem, crowded));

    Assignment boasting = best;
    boasting.totals.pair_cost -= 1;
    CHECK_FALSE(certificate_holds(problem, boasting));
}

TEST_CASE("waiting counts ten points a full week, up to a year") {
    CHECK(waiting_points(0) == 0);
    CHECK(waiting_points(6) == 0);
    CHECK(waiting_points(7) == 10);
    CHECK(waiting_points(364) == 520);
    CHECK(waiting_points(9999) == 520);
}

TEST_CASE("nobody would rather swap after the greedy choice by cost") {
    for (std::uint64_t seed = 0; seed < 50; ++seed) {
        CAPTURE(seed);
        const PairingProblem problem = small_problem(seed);
        struct Pair {
            std::int32_t cost;
            std::size_t newcomer;
            std::uint32_t mentor;
            auto operator<=>(const Pair&) const = default;
        };
        std::vector<Pair> pairs;
        for (std::size_t i = 0; i < problem.newcomers(); ++i) {
            for (const PairArc& arc : problem.candidates[i]) pairs.push_back({arc.cost, i, arc.mentor});
        }
        std::sort(pairs.begin(), pairs.end());
        std::vector<std::int32_t> greedy(problem.newcomers(), nobody);
        std::vector<std::int32_t> left = problem.places;
        for (const Pair& pair : pairs) {
            if (greedy[pair.newcomer] != nobody || left[pair.mentor] == 0) continue;
            greedy[pair.newcomer] = static_cast<std::int32_t>(pair.mentor);
            --left[pair.mentor];
        }
        CHECK(count_blocking_pairs(by_cost(problem), greedy) == 0);
    }
}

TEST_CASE("a pair blocks if both would gain, a place left included") {
    PairingProblem problem;
    problem.places = {1, 1};
    problem.candidates = {{{0, 10}, {1, 90}}, {{0, 50}, {1, 60}}};
    const PreferenceProblem preferences = by_cost(problem);
    CHECK(count_blocking_pairs(preferences, {0, 1}) == 0);
    CHECK(count_blocking_pairs(preferences, {1, 0}) == 1);
    CHECK(count_blocking_pairs(preferences, {nobody, nobody}) == 4);
    CHECK(count_blocking_pairs(preferences, {0, nobody}) == 1);
}
