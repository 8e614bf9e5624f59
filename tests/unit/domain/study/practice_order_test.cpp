#include "node/domain/study/practice_order.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <vector>

#include "node/domain/study/readiness.hpp"

using namespace ladderline::domain;

namespace {

constexpr int mark = 2;

// Three groups of three; questions 0 to 5 seen on days 0, 1, ... in a jumbled order, 6 to 8 never.
StudyMemory some_seen() {
    const int order[] = {3, 0, 5, 1, 4, 2};
    std::vector<StudyAnswer> answers;
    for (int day = 0; day < 6; ++day) answers.push_back({order[day], static_cast<double>(day), Outcome::wrong});
    return StudyMemory::replay(shape_of(std::vector<int>{3, 3, 3}), answers);
}

StudyMemory all_seen(double now) {
    std::vector<StudyAnswer> answers;
    for (int question = 0; question < 9; ++question) answers.push_back({question, now - 9 + question, Outcome::right});
    return StudyMemory::replay(shape_of(std::vector<int>{3, 3, 3}), answers);
}

std::vector<int> questions_of(const std::vector<PracticeItem>& items) {
    std::vector<int> questions;
    for (const PracticeItem& item : items) questions.push_back(item.question);
    return questions;
}

}  // namespace

TEST_CASE("questions never shown come first, then the fading ones, longest unseen first") {
    const auto items =
        practice_order(some_seen(), {.mark = mark, .now = 30, .exam_day = 60, .count = 9, .shown_today = {}});
    REQUIRE(items.size() == 9);
    for (std::size_t i = 0; i < 3; ++i) CHECK(items[i].reason == PracticeReason::not_seen);
    for (std::size_t i = 3; i < 9; ++i) CHECK(items[i].reason == PracticeReason::fading);
    const std::vector<int> questions = questions_of(items);
    CHECK(std::vector<int>(questions.begin() + 3, questions.end()) == std::vector<int>{3, 0, 5, 1, 4, 2});
}

TEST_CASE("unseen questions take the groups in turn, the group with the largest gain first") {
    StudyMemory memory(shape_of(std::vector<int>{4, 2, 3}));
    const std::vector<double> gains = showing_gains(memory, mark, 0, 20);
    const auto items = practice_order(memory, {.mark = mark, .now = 0, .exam_day = 20, .count = 9, .shown_today = {}});
    const std::vector<int> questions = questions_of(items);
    REQUIRE(questions.size() == 9);
    std::vector<int> first_round(questions.begin(), questions.begin() + 3);
    CHECK(gains[static_cast<std::size_t>(first_round[0])] >= gains[static_cast<std::size_t>(first_round[1])]);
    CHECK(gains[static_cast<std::size_t>(first_round[1])] >= gains[static_cast<std::size_t>(first_round[2])]);
    // The smaller a group, the more one of its questions counts.
    CHECK(questions == std::vector<int>{4, 6, 0, 5, 7, 1, 8, 2, 3});
}

TEST_CASE("asked for one question at a time, practice goes around the groups as well") {
    StudyMemory memory(shape_of(std::vector<int>{3, 3, 3}));
    std::set<int> groups;
    for (int i = 0; i < 3; ++i) {
        const double now = 0.001 * i;
        const auto items =
            practice_order(memory, {.mark = mark, .now = now, .exam_day = 20, .count = 1, .shown_today = {}});
        REQUIRE(items.size() == 1);
        memory.apply({items[0].question, now, Outcome::wrong});
        groups.insert(items[0].question / 3);
    }
    CHECK(groups == std::set<int>{0, 1, 2});
}

TEST_CASE("well remembered questions come after the fading ones, however long unseen") {
    std::vector<StudyAnswer> answers;
    for (double day : {0.0, 2.0, 6.0, 20.0, 60.0}) answers.push_back({0, day, Outcome::right});
    answers.push_back({1, 61, Outcome::wrong});
    const StudyMemory memory = StudyMemory::replay(shape_of(std::vector<int>{2}), answers);
    REQUIRE(memory.recall(0, 64) >= fading_recall);
    REQUIRE(memory.recall(1, 64) < fading_recall);
    const auto items = practice_order(memory, {.mark = 1, .now = 64, .exam_day = 90, .count = 2, .shown_today = {}});
    CHECK(items == std::vector<PracticeItem>{{1, PracticeReason::fading}, {0, PracticeReason::steady}});
}

TEST_CASE("on the last day the largest gain comes first, ten at a time") {
    const StudyMemory memory =
        StudyMemory::replay(shape_of(std::vector<int>{6, 6, 6}), std::vector<StudyAnswer>{{0, 0, Outcome::wrong}});
    const auto items =
        practice_order(memory, {.mark = mark, .now = 5.5, .exam_day = 6, .count = 18, .shown_today = {}});
    CHECK(static_cast<int>(items.size()) == last_day_batch);
    const std::vector<double> gains = showing_gains(memory, mark, 5.5, 6);
    for (std::size_t i = 0; i + 1 < items.size(); ++i) {
        CHECK(items[i].reason == PracticeReason::last_day);
        CHECK(gains[static_cast<std::size_t>(items[i].question)] >=
              gains[static_cast<std::size_t>(items[i + 1].question)]);
    }
    CHECK(gains[static_cast<std::size_t>(items[0].question)] == *std::max_element(gains.begin(), gains.end()));
}

TEST_CASE("on the last day no question comes twice") {
    const StudyMemory memory = all_seen(9);
    PracticeRequest request{.mark = mark, .now = 9, .exam_day = 9.5, .count = 4, .shown_today = {}};
    std::set<int> shown;
    for (int round = 0; round < 3; ++round) {
        for (const PracticeItem& item : practice_order(memory, request)) {
            CHECK(shown.insert(item.question).second);
            request.shown_today.push_back(item.question);
        }
    }
    CHECK(shown.size() == 9);
    CHECK(practice_order(memory, request).empty());
}

TEST_CASE("without an exam day, or after it, practice goes on by the first three steps") {
    const PracticeRequest open{.mark = mark, .now = 30, .exam_day = {}, .count = 1, .shown_today = {}};
    CHECK(practice_order(some_seen(), open).at(0).reason == PracticeReason::not_seen);
    PracticeRequest past = open;
    past.exam_day = 29.5;
    CHECK(practice_order(some_seen(), past).at(0).reason == PracticeReason::not_seen);
}

TEST_CASE("no more questions are named than were asked for") {
    for (const int count : {0, 1, 4, 9, 50}) {
        const PracticeRequest request{.mark = mark, .now = 30, .exam_day = 60, .count = count, .shown_today = {}};
        CHECK(static_cast<int>(practice_order(some_seen(), request).size()) == std::min(count, 9));
    }
}

TEST_CASE("the groups are ranked by the best gain per minute in them") {
    const StudyMemory memory(shape_of(std::vector<int>{2, 2}));
    const std::vector<double> gains = {0.01, 0.02, 0.03, 0.01};
    const std::vector<double> minutes = {0.1, 1, 1, 1};
    const auto ranked = group_gains(memory, gains, minutes);
    REQUIRE(ranked.size() == 2);
    CHECK(ranked[0].group == 0);
    CHECK(ranked[0].question == 0);
    CHECK(ranked[0].gain_per_minute == doctest::Approx(0.1));
    CHECK(ranked[1].question == 2);
}
