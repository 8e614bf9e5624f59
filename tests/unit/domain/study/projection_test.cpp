#include "node/domain/study/projection.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "node/domain/study/practice_order.hpp"
#include "node/domain/study/readiness.hpp"

using namespace ladderline::domain;

namespace {

constexpr int mark = 4;

StudyMemory learner() {
    std::vector<StudyAnswer> answers;
    for (int question = 0; question < 12; ++question) answers.push_back({question, 0, Outcome::wrong});
    return StudyMemory::replay(shape_of(std::vector<int>(6, 4)), answers);
}

std::vector<StudyAnswer> answers_on(const std::vector<double>& days) {
    std::vector<StudyAnswer> answers;
    for (const double day : days) answers.push_back({0, day, Outcome::right});
    return answers;
}

}  // namespace

TEST_CASE("the pace is the mean of the last two weeks, days without study included") {
    std::vector<double> days = {0, 1, 2, 3};
    for (int n = 0; n < 28; ++n) days.push_back(20);
    CHECK(study_pace(answers_on(days), 30) == doctest::Approx(2));
}

TEST_CASE("a younger history is divided by its own length") {
    CHECK(study_pace(answers_on({0, 0, 1, 1, 1, 4}), 4) == doctest::Approx(1.5));
}

TEST_CASE("with fewer than three days of history the pace must be asked for") {
    CHECK_FALSE(study_pace(answers_on({}), 10));
    CHECK_FALSE(study_pace(answers_on({8, 9, 10}), 10));
    CHECK(study_pace(answers_on({7, 9, 10}), 10).has_value());
}

TEST_CASE("corrections of the pool are no answers, and answers of the future do not count") {
    std::vector<StudyAnswer> answers = answers_on({0, 5, 5, 99});
    answers.push_back({0, 6, Outcome::corrected});
    CHECK(study_pace(answers, 10) == doctest::Approx(0.3));
}

TEST_CASE("after a long pause the pace is nought") {
    CHECK(study_pace(answers_on({0, 1, 2}), 40) == 0.0);
}

TEST_CASE("without practice the chance only falls, and the target is never reached") {
    const Projection ahead = project(learner(), {.mark = mark, .now = 0, .pace = 0, .days = 30});
    CHECK_FALSE(ahead.days_to_target);
    REQUIRE(ahead.pass_chances.size() == 30);
    for (std::size_t i = 0; i + 1 < 30; ++i) CHECK(ahead.pass_chances[i + 1] < ahead.pass_chances[i]);
    CHECK(ahead.pass_chances[0] == pass_chance(learner(), mark, 2));
}

TEST_CASE("a projected day shows the questions of the practice order, results not known") {
    StudyMemory by_hand = learner();
    for (const PracticeItem& item : practice_cycle(learner(), mark, 1, 2, 5)) by_hand.apply_unknown(item.question, 1);
    const Projection ahead = project(learner(), {.mark = mark, .now = 0, .pace = 5, .days = 1});
    CHECK(ahead.pass_chances.at(0) == pass_chance(by_hand, mark, 2));
}

TEST_CASE("half a showing a day is one showing every second day") {
    const Projection none = project(learner(), {.mark = mark, .now = 0, .pace = 0, .days = 2});
    const Projection half = project(learner(), {.mark = mark, .now = 0, .pace = 0.5, .days = 2});
    CHECK(half.pass_chances[0] == none.pass_chances[0]);
    CHECK(half.pass_chances[1] > none.pass_chances[1]);
}

TEST_CASE("a tenth of a showing a day is a showing on the tenth day, not on the eleventh") {
    const Projection none = project(learner(), {.mark = mark, .now = 0, .pace = 0, .days = 10});
    const Projection tenth = project(learner(), {.mark = mark, .now = 0, .pace = 0.1, .days = 10});
    CHECK(tenth.pass_chances[8] == none.pass_chances[8]);
    CHECK(tenth.pass_chances[9] > none.pass_chances[9]);
}

TEST_CASE("a projection stops at its target, or goes on if it is asked to") {
    ProjectionPlan plan{.mark = mark, .now = 0, .pace = 24, .days = 20, .target = 0.8};
    const Projection short_one = project(learner(), plan);
    REQUIRE(short_one.days_to_target.has_value());
    CHECK(static_cast<int>(short_one.pass_chances.size()) == *short_one.days_to_target);
    CHECK(short_one.pass_chances.back() >= 0.8);
    plan.stop_at_target = false;
    CHECK(project(learner(), plan).pass_chances.size() == 20);
    CHECK(project(learner(), plan).days_to_target == short_one.days_to_target);
}

TEST_CASE("a pace beyond the pool shows every question once a day") {
    const Projection all = project(learner(), {.mark = mark, .now = 0, .pace = 24, .days = 3, .target = 2});
    const Projection more = project(learner(), {.mark = mark, .now = 0, .pace = 400, .days = 3, .target = 2});
    CHECK(all.pass_chances == more.pass_chances);
}

TEST_CASE("the least pace reaches the target by the exam day, and one showing fewer does not") {
    const ProjectionPlan plan{.mark = mark, .now = 0, .target = 0.7};
    const auto pace = least_pace(learner(), plan, 15);
    REQUIRE(pace.has_value());
    REQUIRE(*pace > 1);
    const auto on_exam_day = [&](int showings) {
        return project(learner(),
                       {.mark = mark, .now = 0, .pace = static_cast<double>(showings), .days = 14, .target = 2})
            .pass_chances.back();
    };
    CHECK(on_exam_day(*pace) >= 0.7);
    CHECK(on_exam_day(*pace - 1) < 0.7);
}

TEST_CASE("who is ready already needs no pace, and who has no day left gets none") {
    CHECK(least_pace(learner(), {.mark = 0, .now = 0, .target = 0.9}, 15) == 0);
    CHECK_FALSE(least_pace(learner(), {.mark = mark, .now = 0, .target = 0.9}, 1.5));
    CHECK_FALSE(least_pace(learner(), {.mark = mark, .now = 0, .target = 0.9}, -3));
    CHECK_FALSE(least_pace(learner(), {.mark = 6, .now = 0, .target = 0.999}, 4));
}
