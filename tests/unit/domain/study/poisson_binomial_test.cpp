#include "node/domain/study/poisson_binomial.hpp"

#include <doctest/doctest.h>

#include <numeric>
#include <vector>

using namespace ladderline::domain;

TEST_CASE("without a trial there are no points for sure") {
    CHECK(poisson_binomial_mass(std::vector<double>{}) == std::vector<double>{1});
    CHECK(pivot_chances(std::vector<double>{}, 1).empty());
}

TEST_CASE("two coins and a sure thing") {
    CHECK(poisson_binomial_mass(std::vector<double>{0.5, 1, 0.5}) == std::vector<double>{0, 0.25, 0.5, 0.25});
}

TEST_CASE("a tail from nothing on is certain, and beyond all trials it is impossible") {
    const std::vector<double> mass = poisson_binomial_mass(std::vector<double>{0.5, 0.5});
    CHECK(upper_tail(mass, 0) == 1);
    CHECK(upper_tail(mass, -3) == 1);
    CHECK(upper_tail(mass, 3) == 0);
}

TEST_CASE("expected points are the sum of the chances") {
    CHECK(expected_points(poisson_binomial_mass(std::vector<double>{0.1, 0.25, 0.9})) == doctest::Approx(1.25));
}

TEST_CASE("a points band takes the first number of points that reaches its share") {
    const std::vector<double> mass = {0.05, 0.90, 0.05};
    CHECK(points_at_share(mass, 0.05) == 0);
    CHECK(points_at_share(mass, 0.06) == 1);
    CHECK(points_at_share(mass, 0.96) == 2);
    CHECK(points_at_share(mass, 1.5) == 2);
}

TEST_CASE("the pivot is what a tail grows by when that trial goes from sure miss to sure hit") {
    const std::vector<double> chances = {0.2, 0.55, 0.9, 0, 1, 0.7};
    for (int mark = 0; mark <= 7; ++mark) {
        CAPTURE(mark);
        const std::vector<double> pivots = pivot_chances(chances, mark);
        REQUIRE(pivots.size() == chances.size());
        for (std::size_t i = 0; i < chances.size(); ++i) {
            std::vector<double> miss = chances;
            std::vector<double> hit = chances;
            miss[i] = 0;
            hit[i] = 1;
            const double growth =
                upper_tail(poisson_binomial_mass(hit), mark) - upper_tail(poisson_binomial_mass(miss), mark);
            CHECK(pivots[i] == doctest::Approx(growth));
        }
    }
}
