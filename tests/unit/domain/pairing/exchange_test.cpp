#include "node/domain/pairing/exchange.hpp"

#include <doctest/doctest.h>

#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline::domain;
using ladderline::test::generated_pairing;

namespace {

// Tight: 40 newcomers, places for about 27 to 60.
PairingProblem problem_of(std::uint64_t seed) {
    PairingProblem out = generated_pairing(40, 8, 4, seed);
    for (std::size_t i = 0; i < out.newcomers(); ++i)
        out.waiting_points.push_back(static_cast<std::int32_t>(i % 4) * 10);
    out.load_step = seed % 2 == 0 ? 0 : 20;
    return out;
}

std::vector<std::int32_t> after(const Assignment& before, const PairingChange& change) {
    std::vector<std::int32_t> out = before.mentor_of;
    for (const PairMove& move : change.moves) {
        CHECK(out[move.newcomer] == move.from);
        out[move.newcomer] = move.to;
    }
    return out;
}

}  // namespace

TEST_CASE("one more place does what solving afresh does") {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        const PairingProblem problem = problem_of(seed);
        const Assignment best = solve_pairing(problem);
        for (std::uint32_t mentor = 0; mentor < problem.mentors(); ++mentor) {
            CAPTURE(seed);
            CAPTURE(mentor);
            PairingProblem wider = problem;
            ++wider.places[mentor];
            const PairingTotals afresh = solve_pairing(wider).totals;
            const PairingChange change = one_more_place(problem, best, mentor);
            CHECK(change.totals.paired == afresh.paired);
            CHECK(change.totals.pair_cost + change.totals.load_cost == afresh.pair_cost + afresh.load_cost);
            CHECK(totals_of(wider, after(best, change)).paired == afresh.paired);
        }
    }
}

TEST_CASE("insisting on a pair costs what solving without the choice costs") {
    int compared = 0;
    for (std::uint64_t seed = 0; seed < 10; ++seed) {
        const PairingProblem problem = problem_of(seed);
        const Assignment best = solve_pairing(problem);
        for (std::uint32_t newcomer = 0; newcomer < problem.newcomers(); newcomer += 3) {
            for (const PairArc& arc : problem.candidates[newcomer]) {
                CAPTURE(seed);
                CAPTURE(newcomer);
                CAPTURE(arc.mentor);
                // A bribe that nothing can outweigh forces the pair.
                constexpr std::int32_t bribe = 100'000'000;
                PairingProblem forced = problem;
                for (auto& arcs : forced.candidates) {
                    for (PairArc& other : arcs) other.cost += bribe;
                }
                for (PairArc& own : forced.candidates[newcomer]) own.cost -= own.mentor == arc.mentor ? bribe : 0;
                const std::vector<std::int32_t> expected = solve_pairing(forced).mentor_of;
                if (expected[newcomer] != static_cast<std::int32_t>(arc.mentor)) continue;
                ++compared;
                const auto change = insist_on(problem, best, newcomer, arc.mentor);
                REQUIRE(change);
                CHECK(after(best, *change)[newcomer] == static_cast<std::int32_t>(arc.mentor));
                CHECK(change->totals.objective == totals_of(problem, expected).objective);
            }
        }
    }
    CHECK(compared > 400);
}

TEST_CASE("insisting on the pair that is there already changes nothing") {
    const PairingProblem problem = problem_of(0);
    const Assignment best = solve_pairing(problem);
    const auto change = insist_on(problem, best, 0, static_cast<std::uint32_t>(best.mentor_of[0]));
    REQUIRE(change);
    CHECK(change->moves.empty());
    CHECK(change->totals == best.totals);
}

TEST_CASE("a pair that is no candidate, or a mentor without places, cannot be insisted on") {
    PairingProblem problem;
    problem.places = {1, 0, 1};
    problem.candidates = {{{0, 5}, {1, 1}}};
    const Assignment best = solve_pairing(problem);
    CHECK_FALSE(insist_on(problem, best, 0, 2));
    CHECK_FALSE(insist_on(problem, best, 0, 1));
}
