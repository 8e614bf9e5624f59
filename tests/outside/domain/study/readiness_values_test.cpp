// A small examination worked out in full: 5 groups of 4 questions, mark 4.
// Own formula, not outside: all values are of two programs, written apart from this one, that work out the same
// formula. They find a slip in our code, never a formula that is wrong.

#include <doctest/doctest.h>

#include <algorithm>
#include <cstddef>
#include <vector>

#include "node/domain/study/projection.hpp"
#include "node/domain/study/readiness.hpp"
#include "tests/outside/domain/study/printed.hpp"

using namespace ladderline::domain;

namespace {

constexpr int mark = 4;

int question(int group, int i) {
    return 4 * group + i;
}

// Day 0: two questions of each of the first four groups; day 2: the same eight, all right.
StudyMemory c4() {
    std::vector<StudyAnswer> answers;
    for (int group = 0; group < 4; ++group) {
        for (int i = 0; i < 2; ++i) {
            answers.push_back({question(group, i), 0, (group + i) % 3 != 0 ? Outcome::right : Outcome::wrong});
        }
    }
    for (int group = 0; group < 4; ++group) {
        for (int i = 0; i < 2; ++i) answers.push_back({question(group, i), 2, Outcome::right});
    }
    return StudyMemory::replay(shape_of(std::vector<int>(5, 4)), answers);
}

}  // namespace

TEST_CASE("C4: the points on day 6") {
    const Readiness result = readiness(c4(), mark, 6);
    const char* mass[] = {"0.008520376468", "0.066563055858", "0.210545057342",
                          "0.339075247359", "0.279847038784", "0.095449224189"};
    REQUIRE(result.mass.size() == std::size(mass));
    for (std::size_t j = 0; j < result.mass.size(); ++j) CHECK_PRINTED(result.mass[j], mass[j]);
    CHECK_PRINTED(result.pass_chance, "0.375296262974");
}

TEST_CASE("C4: the mean chance in each group on day 6") {
    const char* means[] = {"0.628154728785", "0.731804335896", "0.642459241688", "0.634847508075", "0.464247374258"};
    const Readiness result = readiness(c4(), mark, 6);
    REQUIRE(result.group_means.size() == std::size(means));
    for (std::size_t g = 0; g < std::size(means); ++g) CHECK_PRINTED(result.group_means[g], means[g]);
}

TEST_CASE("C4: the chance to pass on other days") {
    CHECK_PRINTED(pass_chance(c4(), mark, 2), "0.501055598047");
    CHECK_PRINTED(pass_chance(c4(), mark, 4), "0.418632221176");
    CHECK_PRINTED(pass_chance(c4(), mark, 10), "0.323717746727");
    CHECK_PRINTED(pass_chance(c4(), mark, 20), "0.261302055427");
    CHECK_PRINTED(pass_chance(c4(), mark, 60), "0.185565523820");
}

TEST_CASE("C4: what one more showing on day 3 adds on day 6") {
    struct Row {
        int group;
        int i;
        const char* gain;
    };
    const Row rows[] = {
        {4, 2, "2.915232477046e-02"}, {0, 2, "2.639311810052e-02"}, {3, 2, "2.627820597320e-02"},
        {2, 2, "2.614621484408e-02"}, {1, 2, "1.728921473110e-02"}, {0, 0, "4.850772082354e-03"},
        {3, 0, "4.809105568410e-03"}, {2, 1, "4.740941937323e-03"}, {0, 1, "3.458297028352e-03"},
        {3, 1, "2.877097118998e-03"}, {1, 0, "2.496660118110e-03"}, {2, 0, "2.241282830748e-03"},
        {1, 1, "1.871244004058e-03"},
    };
    const std::vector<double> gains = showing_gains(c4(), mark, 3, 6);
    for (const Row& row : rows) {
        CAPTURE(row.group);
        CAPTURE(row.i);
        CHECK_PRINTED(gains[static_cast<std::size_t>(question(row.group, row.i))], row.gain);
    }
}

TEST_CASE("C4: the weeks ahead, always practising what gains most for the next day") {
    struct Row {
        double pace;
        const char* on_day[5];  // 3, 5, 10, 20, 40
    };
    const Row rows[] = {
        {0, {"0.418632221", "0.375296263", "0.314557951", "0.257308599", "0.208434825"}},
        {1, {"0.458768892", "0.475810507", "0.519151184", "0.529268469", "0.557584781"}},
        {2, {"0.498905563", "0.581329633", "0.666740830", "0.699786380", "0.768019551"}},
        {4, {"0.579767141", "0.771746351", "0.799656569", "0.861632248", "0.909310095"}},
    };
    for (const Row& row : rows) {
        CAPTURE(row.pace);
        const Projection ahead = project(c4(), {.mark = mark,
                                                .now = 2,
                                                .pace = row.pace,
                                                .days = 40,
                                                .target = 0.9,
                                                .stop_at_target = false,
                                                .order = ProjectedOrder::by_gain});
        REQUIRE(ahead.pass_chances.size() == 40);
        const std::size_t days[] = {3, 5, 10, 20, 40};
        for (std::size_t i = 0; i < std::size(days); ++i) {
            CHECK_PRINTED(ahead.pass_chances[days[i] - 3], row.on_day[i]);
        }
    }
}

TEST_CASE("C4: the first day with a chance of 0.8 and of 0.9, four showings a day") {
    ProjectionPlan plan{.mark = mark, .now = 2, .pace = 4, .target = 0.8, .order = ProjectedOrder::by_gain};
    CHECK(project(c4(), plan).days_to_target == 11 - 2);
    plan.target = 0.9;
    CHECK(project(c4(), plan).days_to_target == 35 - 2);
    plan.pace = 0;
    CHECK_FALSE(project(c4(), plan).days_to_target);
}
