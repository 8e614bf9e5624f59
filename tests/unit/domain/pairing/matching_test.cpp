#include "node/domain/pairing/matching.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "node/domain/pairing/fair.hpp"
#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline::domain;
using ladderline::test::SplitMix;

namespace {

using Adjacent = std::vector<std::vector<std::uint32_t>>;

std::size_t matched(const std::vector<std::int32_t>& given) {
    return given.size() - static_cast<std::size_t>(std::count(given.begin(), given.end(), -1));
}

// As many as can be given, by trying everything.
std::size_t by_enumeration(const Adjacent& adjacent, std::vector<std::int32_t> left, std::size_t i = 0) {
    if (i == adjacent.size()) return 0;
    std::size_t best = by_enumeration(adjacent, left, i + 1);
    for (const std::uint32_t j : adjacent[i]) {
        if (left[j] == 0) continue;
        left[j] -= 1;
        best = std::max(best, 1 + by_enumeration(adjacent, left, i + 1));
        left[j] += 1;
    }
    return best;
}

}  // namespace

TEST_CASE("with nobody, or no place, nothing is matched") {
    CHECK(largest_matching({}, {}).empty());
    CHECK(largest_matching({{0}, {}}, {0}) == std::vector<std::int32_t>{-1, -1});
}

TEST_CASE("somebody who has another place makes way for one who has not") {
    CHECK(largest_matching({{0, 1}, {0}}, {1, 1}) == std::vector<std::int32_t>{1, 0});
}

TEST_CASE("small matchings are as large as by trying everything, and keep to the places") {
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        SplitMix random{seed};
        std::vector<std::int32_t> places;
        for (int j = 0; j < 4; ++j) places.push_back(random.below(3));
        Adjacent adjacent(7);
        for (auto& row : adjacent) {
            for (std::uint32_t j = 0; j < 4; ++j) {
                if (random.below(3) == 0) row.push_back(j);
            }
        }
        const auto given = largest_matching(adjacent, places);
        CHECK(matched(given) == by_enumeration(adjacent, places));
        for (std::uint32_t j = 0; j < 4; ++j) {
            CHECK(std::count(given.begin(), given.end(), static_cast<std::int32_t>(j)) <= places[j]);
        }
        for (std::size_t i = 0; i < given.size(); ++i) {
            if (given[i] == -1) continue;
            CHECK(std::count(adjacent[i].begin(), adjacent[i].end(), static_cast<std::uint32_t>(given[i])) == 1);
        }
    }
}

TEST_CASE("a fair pairing of nobody is empty") {
    CHECK(solve_fair({}).assignment.mentor_of.empty());
}

TEST_CASE("a fair pairing gives up total cost for the one who fares worst, never a pair") {
    PairingProblem problem;
    problem.places = {1, 1};
    problem.candidates = {{{0, 0}, {1, 60}}, {{0, 50}, {1, 100}}};  // best in all: 0 + 100; fair: 60 + 50
    CHECK(solve_pairing(problem).totals.pair_cost == 100);
    const FairPairing fair = solve_fair(problem);
    CHECK(fair.worst_cost == 60);
    CHECK(fair.assignment.mentor_of == std::vector<std::int32_t>{1, 0});
    CHECK(fair.assignment.totals.paired == 2);
}
