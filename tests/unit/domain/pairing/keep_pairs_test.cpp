#include "node/domain/pairing/keep_pairs.hpp"

#include <doctest/doctest.h>

using namespace ladderline::domain;

namespace {

// The optimum would swap the first two.
PairingProblem crossed() {
    PairingProblem out;
    out.places = {2, 1};
    out.candidates = {{{0, 100}, {1, 10}}, {{0, 10}, {1, 100}}, {{0, 50}}};
    return out;
}

}  // namespace

TEST_CASE("those who are together stay together, and the new one is paired") {
    const KeptPairing kept = solve_keeping(crossed(), {0, 1, nobody});
    CHECK(kept.mentor_of == std::vector<std::int32_t>{0, 1, 0});
    CHECK(kept.totals.pair_cost == 250);
    CHECK(kept.not_kept.empty());
}

TEST_CASE("what parting them would save is told with the number who would change") {
    const KeptPairing kept = solve_keeping(crossed(), {0, 1, nobody});
    CHECK(kept.saves == 180);
    CHECK(kept.moves == 2);
    CHECK(kept.more_paired == 0);
}

TEST_CASE("with nobody together it is the optimum") {
    const PairingProblem problem = crossed();
    const KeptPairing kept = solve_keeping(problem, {nobody, nobody, nobody});
    CHECK(kept.totals == solve_pairing(problem).totals);
    CHECK(kept.saves == 0);
    CHECK(kept.moves == 0);
}

TEST_CASE("a newcomer who is with a mentor does not lose the place to somebody who waits longer") {
    PairingProblem problem;
    problem.places = {1};
    problem.candidates = {{{0, 10}}, {{0, 900}}};
    problem.waiting_points = {520, 0};
    CHECK(solve_keeping(problem, {nobody, 0}).mentor_of == std::vector<std::int32_t>{nobody, 0});
}

TEST_CASE("a pair that may not be any more is named and paired anew") {
    PairingProblem problem = crossed();
    problem.candidates[0] = {{1, 10}};
    const KeptPairing kept = solve_keeping(problem, {0, 0, nobody});
    CHECK(kept.not_kept == std::vector<std::uint32_t>{0});
    CHECK(kept.mentor_of == std::vector<std::int32_t>{1, 0, 0});
}

TEST_CASE("the load of those who stay is counted for those who come") {
    PairingProblem problem;
    problem.places = {2, 1};
    problem.candidates = {{{0, 0}}, {{0, 10}, {1, 20}}};
    problem.load_step = 20;
    CHECK(solve_keeping(problem, {0, nobody}).mentor_of == std::vector<std::int32_t>{0, 1});
}
