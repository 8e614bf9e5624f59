// Optima that other solvers found, and a stable set that others have published.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <sstream>

#include "node/domain/pairing/assignment.hpp"
#include "node/domain/pairing/exchange.hpp"
#include "node/domain/pairing/fair.hpp"
#include "node/domain/pairing/stability.hpp"
#include "tests/support/domain/check_data.hpp"
#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline::domain;
using ladderline::test::check_file;
using ladderline::test::generated_pairing;
using ladderline::test::rounds_to;

namespace {

std::size_t blocking(const PairingProblem& problem, const std::vector<std::int32_t>& mentor_of) {
    return count_blocking_pairs(by_cost(problem), mentor_of);
}

// Instances of 12 newcomers and 4 mentors, by full enumeration.
PairingProblem small(std::vector<std::int32_t> places) {
    PairingProblem out = generated_pairing(12, 4, 3, 11);
    out.places = std::move(places);
    return out;
}

struct Size {
    std::size_t newcomers, mentors, candidates;
    std::uint64_t seed;
    std::int64_t places;
    PairingTotals best;
    std::optional<std::size_t> blocking;  // none where several optima differ in it
};

void check_size(const Size& size) {
    const PairingProblem problem = generated_pairing(size.newcomers, size.mentors, size.candidates, size.seed);
    CHECK(std::accumulate(problem.places.begin(), problem.places.end(), std::int64_t{0}) == size.places);
    const Assignment best = solve_pairing(problem);
    CHECK(best.totals.paired == size.best.paired);
    CHECK(best.totals.pair_cost == size.best.pair_cost);
    CHECK(certificate_holds(problem, best));
    CHECK(best.totals.worst_cost == size.best.worst_cost);
    if (size.blocking) CHECK(blocking(problem, best.mentor_of) == *size.blocking);
}

// n, then n rows of n costs; line breaks carry no meaning.
std::optional<PairingProblem> read_square(const std::string& name) {
    const auto text = check_file(name);
    if (!text) return {};
    std::istringstream in(*text);
    std::size_t n = 0;
    in >> n;
    PairingProblem out;
    out.places.assign(n, 1);
    out.candidates.resize(n);
    for (auto& row : out.candidates) {
        for (std::uint32_t j = 0; j < n; ++j) {
            std::int32_t cost = 0;
            in >> cost;
            row.push_back({j, cost});
        }
    }
    return out;
}

double spread_of_loads(const PairingProblem& problem, const Assignment& assignment) {
    const auto loads = loads_of(problem, assignment.mentor_of);
    const auto n = static_cast<double>(loads.size());
    const double mean = std::accumulate(loads.begin(), loads.end(), 0.0) / n;
    double sum = 0;
    for (const std::int32_t load : loads) sum += (load - mean) * (load - mean);
    return std::sqrt(sum / n);
}

}  // namespace

TEST_CASE("the pairing of 1,000 newcomers is the optimum that four solvers found") {
    // scipy 1.10.1, LEMON 1.3.1, Boost 1.81 and a separately written solver.
    check_size({1000, 200, 20, 3, 1100, {1000, 132577, 0, 305, 0}, 208});
}

TEST_CASE("5,000 newcomers with places to spare are paired at the least cost") {
    // scipy, LEMON and a separately written solver.
    check_size({5000, 1000, 50, 1, 5596, {5000, 479033, 0, 263, 0}, 838});
}

TEST_CASE("of 5,000 newcomers as many are paired as there are places") {
    // scipy, LEMON and a separately written solver.
    check_size({5000, 700, 50, 2, 3883, {3883, 325265, 0, 206, 0}, {}});
}

// Not outside: a separately written solver, and full enumeration; without load cost and waiting times.
TEST_CASE("the least worst cost of a largest pairing, and what it then costs, are the enumerated ones") {
    struct Row {
        PairingProblem problem;
        std::int32_t worst;
        std::int64_t cost;
    };
    for (const Row& row :
         {Row{generated_pairing(1000, 200, 20, 3), 305, 132577}, Row{generated_pairing(5000, 1000, 50, 1), 263, 479033},
          Row{generated_pairing(5000, 700, 50, 2), 168, 325415}, Row{small({3, 1, 3, 3}), 353, 2277}}) {
        CAPTURE(row.cost);
        const FairPairing fair = solve_fair(row.problem);
        CHECK(fair.worst_cost == row.worst);
        CHECK(fair.assignment.totals.pair_cost == row.cost);
        CHECK(fair.assignment.totals.worst_cost == row.worst);
        CHECK(fair.assignment.totals.paired == solve_pairing(row.problem).totals.paired);
    }
}

TEST_CASE("the generator gives the instance that is kept as a file") {
    const auto text = check_file("vectors/pairing1000.txt");
    if (!text) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; the generator was not compared with the file.");
        return;
    }
    std::istringstream in(*text);
    std::size_t newcomers = 0, mentors = 0;
    in >> newcomers >> mentors;
    const PairingProblem problem = generated_pairing(1000, 200, 20, 3);
    REQUIRE(newcomers == problem.newcomers());
    REQUIRE(mentors == problem.mentors());
    std::size_t differences = 0;
    for (const std::int32_t places : problem.places) {
        std::int32_t value = 0;
        in >> value;
        differences += value != places;
    }
    for (const auto& arcs : problem.candidates) {
        std::size_t degree = 0;
        in >> degree;
        differences += degree != arcs.size();
        for (const PairArc& arc : arcs) {
            std::uint32_t mentor = 0;
            std::int32_t cost = 0;
            in >> mentor >> cost;
            differences += mentor != arc.mentor || cost != arc.cost;
        }
    }
    CHECK(in);
    CHECK(differences == 0);
}

TEST_CASE("one more place for a mentor changes the total of 1,000 pairs as other solvers say") {
    const PairingProblem problem = generated_pairing(1000, 200, 20, 3);
    const Assignment best = solve_pairing(problem);
    // scipy and LEMON, solved afresh each time.
    static constexpr std::int64_t totals[] = {132577, 132565, 132536, 132577, 132572, 132530};
    for (std::uint32_t mentor = 0; mentor < std::size(totals); ++mentor) {
        CAPTURE(mentor);
        const PairingChange change = one_more_place(problem, best, mentor);
        CHECK(change.totals.pair_cost == totals[mentor]);
        CHECK(change.moves.empty() == (totals[mentor] == best.totals.pair_cost));
    }
}

TEST_CASE("a cost for load evens out the mentors' loads at the price that other solvers say") {
    PairingProblem problem = generated_pairing(1000, 200, 20, 3);
    const double before = spread_of_loads(problem, solve_pairing(problem));
    problem.load_step = 20;
    const Assignment best = solve_pairing(problem);
    // LEMON, places expanded with rising costs.
    CHECK(best.totals.paired == 1000);
    CHECK(best.totals.pair_cost + best.totals.load_cost == 176837);
    CHECK(certificate_holds(problem, best));
    CHECK(best.totals.pair_cost == 133517);
    CHECK(rounds_to(before, 1.7029, 4));
    CHECK(rounds_to(spread_of_loads(problem, best), 1.2884, 4));
}

TEST_CASE("twelve newcomers with places enough get the one optimum of full enumeration") {
    const PairingProblem problem = small({3, 2, 4, 3});
    const Assignment best = solve_pairing(problem);
    CHECK(best.mentor_of == std::vector<std::int32_t>{0, 1, 0, 2, 2, 1, 2, 3, 3, 0, 2, 3});
    CHECK(best.totals.pair_cost == 2862);
    CHECK(blocking(problem, best.mentor_of) == 2);
    static constexpr std::int64_t with_one_more[] = {2862, 2766, 2759, 2804};
    for (std::uint32_t mentor = 0; mentor < 4; ++mentor) {
        CAPTURE(mentor);
        CHECK(one_more_place(problem, best, mentor).totals.pair_cost == with_one_more[mentor]);
    }
}

TEST_CASE("twelve newcomers with ten places get the optimum of full enumeration") {
    const PairingProblem problem = small({3, 1, 3, 3});
    const Assignment best = solve_pairing(problem);
    CHECK(best.mentor_of == std::vector<std::int32_t>{0, nobody, 0, 2, 2, 1, 3, 3, 3, 0, 2, nobody});
    CHECK(best.totals.paired == 10);
    CHECK(best.totals.pair_cost == 2206);
    static constexpr std::int64_t with_one_more[] = {2716, 2508, 2560, 2605};
    for (std::uint32_t mentor = 0; mentor < 4; ++mentor) {
        CAPTURE(mentor);
        const PairingChange change = one_more_place(problem, best, mentor);
        CHECK(change.totals.paired == 11);
        CHECK(change.totals.pair_cost == with_one_more[mentor]);
    }
}

TEST_CASE("assignment problems of the OR-Library have their published least costs") {
    // J. E. Beasley, OR-Library, assign100 and assign200 (J. Opl Res. Soc. 41, 1990).
    const auto hundred = read_square("vectors/assign100.txt");
    const auto two_hundred = read_square("vectors/assign200.txt");
    if (!hundred || !two_hundred) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; the OR-Library problems were not solved.");
        return;
    }
    CHECK(solve_pairing(*hundred).totals.pair_cost == 305);
    CHECK(solve_pairing(*two_hundred).totals.pair_cost == 475);
}

TEST_CASE("the example of four and four has its one stable set") {
    // Gale & Shapley, Am. Math. Monthly 69 (1962), example 2: rows alpha to delta, columns A to D, (man's rank, woman's
    // rank).
    static constexpr int ranks[4][4][2] = {{{1, 3}, {2, 3}, {3, 2}, {4, 3}},
                                           {{1, 4}, {4, 1}, {3, 3}, {2, 2}},
                                           {{2, 2}, {1, 4}, {3, 4}, {4, 1}},
                                           {{4, 1}, {2, 2}, {3, 1}, {1, 4}}};
    PreferenceProblem problem;
    problem.places.assign(4, 1);
    problem.preferences.resize(4);
    for (std::size_t i = 0; i < 4; ++i) {
        for (std::uint32_t j = 0; j < 4; ++j) problem.preferences[i].push_back({j, ranks[i][j][0], ranks[i][j][1]});
    }
    const std::vector<std::int32_t> published{2, 3, 0, 1};  // alpha-C, beta-D, gamma-A, delta-B
    std::vector<std::int32_t> order{0, 1, 2, 3};
    std::vector<std::vector<std::int32_t>> stable;
    do {
        if (count_blocking_pairs(problem, order) == 0) stable.push_back(order);
    } while (std::next_permutation(order.begin(), order.end()));
    CHECK(stable == std::vector<std::vector<std::int32_t>>{published});
}
