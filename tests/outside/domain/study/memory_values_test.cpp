// Values of the memory filter. Own formula, not outside: two programs, written apart from this one, work out the same
// formula. They find a slip in our code, never a formula that is wrong.

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

#include "node/domain/study/memory.hpp"
#include "tests/outside/domain/study/printed.hpp"

using namespace ladderline::domain;

namespace {

// Large enough that one question does not stand out.
StudyMemory newcomer() {
    return StudyMemory(shape_of(std::vector<int>{12, 12}));
}

StudyMemory after_first(Outcome outcome) {
    StudyMemory memory = newcomer();
    memory.apply({0, 0, outcome});
    return memory;
}

// The first look's weights are knew * K + (1 - knew) * N. K and N are those of a sure and an impossible "knew before".
double chance_knew(const StudyMemory& memory) {
    std::array<double, half_life_cells> known{};
    std::array<double, half_life_cells> fresh{};
    const auto fill = [](std::array<double, half_life_cells>& row, double median) {
        double sum = 0;
        for (int j = 0; j < half_life_cells; ++j) {
            const double z = (std::log(half_life_days(j)) - std::log(median)) / 1.2;
            sum += row[static_cast<std::size_t>(j)] = std::exp(-0.5 * z * z);
        }
        for (double& weight : row) weight /= sum;
    };
    fill(known, 60);
    fill(fresh, 4);
    const double top = memory.at(0).weights[4][24];
    return (top - fresh[24]) / (known[24] - fresh[24]);
}

double half_life_log2_mean(const StudyMemory& memory, std::size_t r) {
    double sum = 0;
    for (int j = 0; j < half_life_cells; ++j) {
        sum += memory.at(0).weights[r][static_cast<std::size_t>(j)] * std::log2(half_life_days(j));
    }
    return sum;
}

}  // namespace

TEST_CASE("C1: nothing is known of the learner yet") {
    CHECK_PRINTED(newcomer().unseen_chance(0), "0.395083534515");
    CHECK_PRINTED(newcomer().known_chance(0), "0.198744567829");
    CHECK_PRINTED(known_mean({0, 0}), "0.198744567829");
}

TEST_CASE("C1: the first answer tells whether the question was known before") {
    CHECK_PRINTED(chance_knew(after_first(Outcome::wrong)), "0.006570975636");
    CHECK_PRINTED(chance_knew(after_first(Outcome::right)), "0.492983532487");
}

TEST_CASE("C1: the chance of a right answer fades with the days") {
    struct Row {
        double days;
        const char* first_wrong;
        const char* first_right;
    };
    const Row rows[] = {
        {0, "0.98", "0.98"},
        {0.5, "0.855838256023", "0.909778781351"},
        {1, "0.789949200793", "0.870204215283"},
        {3, "0.655351004069", "0.782490960391"},
        {7, "0.542607623303", "0.698026513088"},
        {30, "0.382434317366", "0.540443179629"},
        {120, "0.298264459219", "0.407287200624"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.days);
        CHECK_PRINTED(after_first(Outcome::wrong).chance_right(0, row.days), row.first_wrong);
        CHECK_PRINTED(after_first(Outcome::right).chance_right(0, row.days), row.first_right);
    }
}

TEST_CASE("C2: one question answered six times") {
    struct Showing {
        double day;
        Outcome outcome;
        const char* chance_before;
    };
    const Showing repeats[] = {
        {1, Outcome::right, "0.789949200793"},  {4, Outcome::wrong, "0.733728417178"},
        {5, Outcome::right, "0.793322506645"},  {9, Outcome::right, "0.683610861426"},
        {20, Outcome::right, "0.624968322861"},
    };
    StudyMemory memory = after_first(Outcome::wrong);
    for (const Showing& showing : repeats) {
        CAPTURE(showing.day);
        CHECK_PRINTED(memory.chance_right(0, showing.day), showing.chance_before);
        memory.apply({0, showing.day, showing.outcome});
    }
    CHECK_PRINTED(memory.retention_log2_mean(), "0.076426938551");
    CHECK_PRINTED(half_life_log2_mean(memory, 4), "4.353442193399");
    CHECK_PRINTED(memory.chance_right(0, 21), "0.927334567315");
    CHECK_PRINTED(memory.chance_right(0, 25), "0.816725140839");
    CHECK_PRINTED(memory.chance_right(0, 30), "0.733040061288");
    CHECK_PRINTED(memory.chance_right(0, 60), "0.523214026564");
    CHECK_PRINTED(memory.chance_right(0, 200), "0.347631468251");
}

// In the first row nothing of the pool is counted but the group; this cannot come about, but the formula has a value.
TEST_CASE("C3: what first looks say about the share known beforehand and about two groups") {
    struct Row {
        FirstLooks pool;
        const char* share;
        const char* two_of_three;
        const char* none_of_six;
    };
    const Row rows[] = {
        {{0, 0}, "0.198744567829", "0.485611245233", "0.257400147218"},
        {{3, 10}, "0.143339328099", "0.458647361897", "0.251239617035"},
        {{25, 50}, "0.300199222719", "0.534985843945", "0.256918091654"},
        {{200, 411}, "0.318640212310", "0.543960458880", "0.251829055465"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.pool.all);
        CHECK_PRINTED(known_mean(row.pool), row.share);
        CHECK_PRINTED(unseen_chance(row.pool, {2, 3}), row.two_of_three);
        CHECK_PRINTED(unseen_chance(row.pool, {0, 6}), row.none_of_six);
    }
}
