// Values of Poisson-binomial and binomial tails that were worked out by other programs.

#include <doctest/doctest.h>

#include <functional>
#include <vector>

#include "node/domain/study/poisson_binomial.hpp"
#include "tests/outside/domain/study/printed.hpp"

using namespace ladderline::domain;

namespace {

std::vector<double> chances_of(int n, const std::function<double(int)>& chance) {
    std::vector<double> chances;
    for (int k = 1; k <= n; ++k) chances.push_back(chance(k));
    return chances;
}

std::vector<double> v1() {
    return chances_of(35, [](int) { return 0.75; });
}
std::vector<double> v2() {
    return chances_of(35, [](int k) { return (60 + k) / 100.0; });
}
std::vector<double> v3() {
    return chances_of(35, [](int k) { return k <= 20 ? 0.95 : k <= 30 ? 0.55 : 0.25; });
}
std::vector<double> v4() {
    return chances_of(50, [](int k) { return k / 51.0; });
}
std::vector<double> v5() {
    return chances_of(50, [](int k) { return 1 - (7 * k % 50 + 1) / 100.0; });
}
std::vector<double> v6() {
    return chances_of(35, [](int k) { return k == 1 ? 0.0 : k == 2 ? 1.0 : 0.8; });
}

struct Vector {
    const char* name;
    std::vector<double> chances;
    int mark;
    const char* tail;
    const char* one_short;
    int low;
    int high;
};

}  // namespace

// Source: Python exact fractions; V1 also R 4.2.2 pbinom and scipy 1.10.1 binom.sf.
TEST_CASE("tails, near misses and points bands agree with exact fractions in every printed digit") {
    const std::vector<Vector> vectors = {
        {"35 x 0.75", v1(), 26, "0.626323716386366", "0.131751512064", 22, 30},
        {"(60+k)/100", v2(), 26, "0.780088062026200", "0.0988381754437", 23, 31},
        {"three kinds", v3(), 26, "0.552264876586440", "0.176428346258", 22, 29},
        {"k/51", v4(), 37, "2.92527780769933e-05", "9.75388370661e-05", 20, 30},
        {"1-((7k mod 50)+1)/100", v5(), 37, "0.609327822448810", "0.121493627425", 32, 42},
        {"a sure miss, a sure hit", v6(), 26, "0.799963623370803", "0.0932495259553", 23, 31},
    };
    for (const Vector& vector : vectors) {
        CAPTURE(vector.name);
        const std::vector<double> mass = poisson_binomial_mass(vector.chances);
        CHECK_PRINTED(upper_tail(mass, vector.mark), vector.tail);
        CHECK_PRINTED(mass[static_cast<std::size_t>(vector.mark - 1)], vector.one_short);
        CHECK(points_at_share(mass, 0.05) == vector.low);
        CHECK(points_at_share(mass, 0.95) == vector.high);
    }
}

// Source: Python exact fractions.
TEST_CASE("the chance of no right answer at all keeps its digits down to 1e-22") {
    CHECK_PRINTED(poisson_binomial_mass(v1())[0], "8.47033e-22");
    CHECK_PRINTED(poisson_binomial_mass(v4())[0], "1.27223e-21");
    CHECK(poisson_binomial_mass(v6())[0] == 0.0);
}

// Source: Python exact fractions.
TEST_CASE("the chance that the other groups give exactly one point too few") {
    const std::vector<double> pivots = pivot_chances(v3(), 26);
    CHECK_PRINTED(pivots[0], "0.190660538723");
    CHECK_PRINTED(pivots[25], "0.194102552387");
    CHECK_PRINTED(pivots[34], "0.186709716832");
}

// Source: Python exact fractions; R 4.2.2 pbinom; scipy 1.10.1 binom.sf.
TEST_CASE("passing with the same chance for every question, 26 of 35 and 37 of 50") {
    struct Row {
        double chance;
        const char* of_35;
        const char* of_50;
    };
    const Row rows[] = {
        {0.5, "0.00299406028353", "0.000468111455426"}, {0.6, "0.057526707401", "0.0279883645804"},
        {0.7, "0.364582867769", "0.327883236363"},      {0.75, "0.626323716386", "0.637036664504"},
        {0.8, "0.854272147287", "0.889413492285"},      {0.85, "0.970817382391", "0.986833931274"},
        {0.9, "0.998257789615", "0.999714879697"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.chance);
        CHECK_PRINTED(upper_tail(poisson_binomial_mass(std::vector<double>(35, row.chance)), 26), row.of_35);
        CHECK_PRINTED(upper_tail(poisson_binomial_mass(std::vector<double>(50, row.chance)), 37), row.of_50);
    }
}

// Source: Python exact fractions. The printed mean scores are roots, so the tail there is as exact as ten digits allow.
TEST_CASE("the mean score that passes with a chance of one half, 0.9 and 0.99") {
    struct Row {
        int n;
        int mark;
        double score;
        double pass;
    };
    const Row rows[] = {
        {35, 26, 0.7263753706, 0.5}, {35, 26, 0.8143116447, 0.9}, {35, 26, 0.8726223566, 0.99},
        {50, 37, 0.7284569901, 0.5}, {50, 37, 0.8031308176, 0.9}, {50, 37, 0.8547892075, 0.99},
    };
    for (const Row& row : rows) {
        CAPTURE(row.score);
        const auto tail = [&](double score) {
            return upper_tail(poisson_binomial_mass(std::vector<double>(static_cast<std::size_t>(row.n), score)),
                              row.mark);
        };
        CHECK(tail(row.score - 1e-10) < row.pass);
        CHECK(tail(row.score + 1e-10) > row.pass);
    }
}

// Source: printed tables of the binomial distribution (0.6230, 0.5881); R 4.2.2 pbinom for the further digits.
TEST_CASE("the lower tails of printed binomial tables") {
    const auto at_most = [](int points, std::size_t n) {
        return 1 - upper_tail(poisson_binomial_mass(std::vector<double>(n, 0.5)), points + 1);
    };
    CHECK_PRINTED(at_most(5, 10), "0.6230");
    CHECK_PRINTED(at_most(5, 10), "0.623046875");
    CHECK_PRINTED(at_most(10, 20), "0.5881");
    CHECK_PRINTED(at_most(10, 20), "0.588098526");
}
