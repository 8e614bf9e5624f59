#include "node/domain/study/memory.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>
#include <vector>

#include "node/domain/study/pool.hpp"
#include "node/domain/study/random.hpp"
#include "tests/unit/domain/study/pool_text.hpp"

using namespace ladderline::domain;

namespace {

StudyShape shape() {
    return shape_of(std::vector<int>{4, 4, 4});
}

StudyMemory after(const std::vector<StudyAnswer>& answers) {
    return StudyMemory::replay(shape(), answers);
}

// A mixed history of all kinds of record, in order of time, no two at one instant.
std::vector<StudyAnswer> long_history() {
    SplitMix64 generator(3);
    std::vector<StudyAnswer> answers;
    double day = 0;
    for (int n = 0; n < 300; ++n) {
        day += static_cast<double>(1 + bounded(generator, 1000)) / 700;
        const auto outcome = static_cast<Outcome>(bounded(generator, 40) == 0 ? 3 : bounded(generator, 3));
        answers.push_back({static_cast<int>(bounded(generator, 12)), day, outcome});
    }
    return answers;
}

bool same_state(const StudyMemory& a, const StudyMemory& b) {
    for (int question = 0; question < a.shape().question_count(); ++question) {
        const QuestionMemory& one = a.at(question);
        const QuestionMemory& other = b.at(question);
        if (one.seen != other.seen || one.last_day != other.last_day || one.weights != other.weights) return false;
    }
    return a.retention_weights() == b.retention_weights() && a.unseen_chance(0) == b.unseen_chance(0) &&
           a.unseen_chance(1) == b.unseen_chance(1) && a.unseen_chance(2) == b.unseen_chance(2);
}

double half_life_cell_mean(const StudyMemory& memory, std::size_t r) {
    double sum = 0;
    for (std::size_t j = 0; j < half_life_cells; ++j) sum += memory.at(0).weights[r][j] * static_cast<double>(j);
    return sum;
}

}  // namespace

TEST_CASE("the shape of a pool has its questions in their groups, withdrawn ones left out") {
    const StudyShape pool_shape = shape_of(read_pool(ladderline::study_test::small_pool).value());
    CHECK(pool_shape.group_sizes == std::vector<int>{3, 1, 1});
    std::vector<int> groups;
    for (const StudyShape::Question& question : pool_shape.questions) groups.push_back(question.group);
    CHECK(groups == std::vector<int>{0, 0, 0, 1, 2});
}

TEST_CASE("the half-lives run from 22.5 minutes to 1024 days, the retention factors from a quarter to four") {
    CHECK(half_life_days(0) * 24 * 60 == doctest::Approx(22.5));
    CHECK(half_life_days(half_life_cells - 1) == 1024);
    CHECK(retention_factor(0) == 0.25);
    CHECK(retention_factor(retention_cells - 1) == 4);
}

TEST_CASE("replaying the same answers gives the same state to the last bit") {
    CHECK(same_state(after(long_history()), after(long_history())));
}

TEST_CASE("the weights of a question stay a distribution through any history") {
    const StudyMemory memory = after(long_history());
    for (int question = 0; question < 12; ++question) {
        if (!memory.seen(question)) continue;
        for (const HalfLifeRow& row : memory.at(question).weights) {
            CHECK(std::accumulate(row.begin(), row.end(), 0.0) == doctest::Approx(1).epsilon(1e-12));
            CHECK(*std::min_element(row.begin(), row.end()) >= 0);
        }
    }
}

TEST_CASE("answers that arrive out of order are put in order by their time") {
    std::vector<StudyAnswer> jumbled = long_history();
    SplitMix64 generator(8);
    shuffle(generator, std::span(jumbled));
    CHECK(same_state(after(long_history()), after(jumbled)));
}

TEST_CASE("records of one instant count in the order in which they were written") {
    std::vector<StudyAnswer> answers;
    for (int n = 0; n < 100; ++n) answers.push_back({n % 5, 1, n % 3 == 0 ? Outcome::wrong : Outcome::right});
    StudyMemory one_by_one(shape());
    for (const StudyAnswer& answer : answers) one_by_one.apply(answer);
    CHECK(same_state(after(answers), one_by_one));
    std::vector<StudyAnswer> turned(answers.rbegin(), answers.rend());
    CHECK_FALSE(same_state(after(turned), one_by_one));
}

TEST_CASE("an answer dated before the last one counts as given at once") {
    StudyMemory backward(shape());
    backward.apply({0, 5, Outcome::right});
    backward.apply({0, 2, Outcome::right});
    StudyMemory at_once(shape());
    at_once.apply({0, 5, Outcome::right});
    at_once.apply({0, 5, Outcome::right});
    CHECK(same_state(backward, at_once));
    CHECK(backward.last_day(0) == 5);
    CHECK(backward.chance_right(0, 1) == backward.chance_right(0, 5));
}

TEST_CASE("drilling one card ten times in a minute gains nothing") {
    StudyMemory memory(shape());
    memory.apply({0, 0, Outcome::wrong});
    const double before = half_life_cell_mean(memory, 4);
    for (int n = 0; n < 10; ++n) memory.apply({0, 0, Outcome::right});
    CHECK(half_life_cell_mean(memory, 4) == doctest::Approx(before).epsilon(1e-3));
    CHECK(memory.retention_log2_mean() == doctest::Approx(StudyMemory(shape()).retention_log2_mean()));
}

TEST_CASE("a right answer after a gap makes the half-life grow, and more after a longer gap") {
    const auto grown = [](double gap) {
        return half_life_cell_mean(after({{0, 0, Outcome::wrong}, {0, gap, Outcome::right}}), 4);
    };
    const double before = half_life_cell_mean(after({{0, 0, Outcome::wrong}}), 4);
    CHECK(grown(1) > before);
    CHECK(grown(4) > grown(1));
}

TEST_CASE(
    "saying I don't know at a first look makes it less likely that the question was known than a wrong mark does") {
    const double s = MemoryConstants::slip;
    const double known = StudyMemory(shape()).known_chance(0);
    const auto knew = [&](Outcome outcome) {
        const StudyMemory memory = after({{0, 0, outcome}});
        return memory.at(0).weights[4][24];
    };
    CHECK(knew(Outcome::dont_know) < knew(Outcome::wrong));
    const double share_wrong = known * s / (known * s + (1 - known) * (1 - MemoryConstants::guess));
    const double share_said = known * s / (known * s + (1 - known));
    const double share_right = known * (1 - s) / (known * (1 - s) + (1 - known) * MemoryConstants::guess);
    // The weight is linear in the chance that it was known, so three outcomes lie on one line.
    const double slope = (knew(Outcome::right) - knew(Outcome::wrong)) / (share_right - share_wrong);
    CHECK(knew(Outcome::wrong) + slope * (share_said - share_wrong) == doctest::Approx(knew(Outcome::dont_know)));
}

TEST_CASE("saying I don't know at a repeat leaves no chance that it was forgotten and guessed") {
    const StudyMemory wrong = after({{0, 0, Outcome::right}, {0, 9, Outcome::wrong}});
    const StudyMemory said = after({{0, 0, Outcome::right}, {0, 9, Outcome::dont_know}});
    CHECK(said.chance_right(0, 12) < wrong.chance_right(0, 12));
}

TEST_CASE("a skipped question leaves no record and so changes nothing") {
    CHECK(same_state(after({}), StudyMemory(shape())));
    CHECK_FALSE(after({}).seen(0));
}

TEST_CASE("a correction of the right answer makes the question unseen, and the learner stays known") {
    const std::vector<StudyAnswer> answers = {{0, 0, Outcome::right}, {1, 0, Outcome::right}, {0, 3, Outcome::right}};
    std::vector<StudyAnswer> corrected = answers;
    corrected.push_back({0, 4, Outcome::corrected});
    const StudyMemory memory = after(corrected);
    CHECK_FALSE(memory.seen(0));
    CHECK(memory.seen(1));
    CHECK(memory.unseen_chance(0) == after(answers).unseen_chance(0));
    CHECK(memory.retention_weights() == after(answers).retention_weights());
    CHECK(memory.chance_right(0, 9) == memory.unseen_chance(0));
    CHECK(memory.recall(0, 9) == 0);
}

TEST_CASE("after a correction the next answer is a first look") {
    const StudyMemory memory = after({{0, 0, Outcome::right}, {0, 4, Outcome::corrected}, {0, 5, Outcome::wrong}});
    CHECK(memory.seen(0));
    CHECK(memory.first_looks().all == 2);
    CHECK(memory.first_looks(0).right == 1);
}

TEST_CASE("correcting a question that was never shown is harmless") {
    CHECK(same_state(after({{7, 1, Outcome::corrected}}), StudyMemory(shape())));
}

TEST_CASE("a question with another number of choices has its own chance of a lucky guess, and no other has") {
    StudyShape odd = shape();
    odd.questions[0].choices = 2;
    StudyMemory memory(odd);
    StudyMemory plain(shape());
    for (StudyMemory* one : {&memory, &plain}) {
        one->apply({0, 0, Outcome::wrong});
        one->apply({1, 0, Outcome::wrong});
    }
    const double never = 1e9;
    CHECK(memory.chance_right(0, never) == doctest::Approx(0.5).epsilon(1e-3));
    CHECK(memory.chance_right(1, never) == doctest::Approx(0.25).epsilon(1e-3));
    CHECK(memory.chance_right(1, 3) == plain.chance_right(1, 3));
    CHECK(memory.known_chance(0) == plain.known_chance(0));
}

TEST_CASE("a showing of unknown result is the exact mean over right and wrong") {
    const StudyMemory before = after({{0, 0, Outcome::right}, {1, 0, Outcome::wrong}, {0, 3, Outcome::wrong}});
    const RetentionRow right = before.chances_right(0, 7);
    StudyMemory if_right = before;
    StudyMemory if_wrong = before;
    StudyMemory unknown = before;
    if_right.apply({0, 7, Outcome::right});
    if_wrong.apply({0, 7, Outcome::wrong});
    unknown.apply_unknown(0, 7);
    for (std::size_t r = 0; r < retention_cells; ++r) {
        for (std::size_t j = 0; j < half_life_cells; ++j) {
            const double mean = right[r] * if_right.at(0).weights[r][j] + (1 - right[r]) * if_wrong.at(0).weights[r][j];
            CHECK(unknown.at(0).weights[r][j] == doctest::Approx(mean).epsilon(1e-12));
        }
    }
    CHECK(unknown.retention_weights() == before.retention_weights());
}

TEST_CASE("a first look of unknown result is the exact mean over right and wrong") {
    const StudyMemory before = after({{1, 0, Outcome::wrong}});
    const double right = before.unseen_chance(0);
    StudyMemory if_right = before;
    StudyMemory if_wrong = before;
    StudyMemory unknown = before;
    if_right.apply({0, 7, Outcome::right});
    if_wrong.apply({0, 7, Outcome::wrong});
    unknown.apply_unknown(0, 7);
    for (std::size_t j = 0; j < half_life_cells; ++j) {
        const double mean = right * if_right.at(0).weights[0][j] + (1 - right) * if_wrong.at(0).weights[0][j];
        CHECK(unknown.at(0).weights[0][j] == doctest::Approx(mean).epsilon(1e-12));
    }
    CHECK(unknown.first_looks().all == before.first_looks().all);
}

TEST_CASE("the chance after one more showing is that of the state after it") {
    const StudyMemory before = after({{0, 0, Outcome::right}, {0, 2, Outcome::wrong}});
    for (const int question : {0, 1}) {
        StudyMemory shown = before;
        shown.apply_unknown(question, 5);
        CHECK(before.chances_right_after(question, 5, 9) == shown.chances_right(question, 9));
    }
}

TEST_CASE("right answers to repeats speak for a good memory, wrong ones against it") {
    const double nothing = after({{0, 0, Outcome::right}}).retention_log2_mean();
    CHECK(after({{0, 0, Outcome::right}, {0, 20, Outcome::right}}).retention_log2_mean() > nothing);
    CHECK(after({{0, 0, Outcome::right}, {0, 20, Outcome::wrong}}).retention_log2_mean() < nothing);
}

TEST_CASE("ten thousand right answers do not break the sums") {
    StudyMemory memory(shape());
    for (int n = 0; n < 10000; ++n) memory.apply({n % 12, n * 0.01, Outcome::right});
    CHECK(memory.chance_right(0, 100) > 0.9);
    CHECK(memory.chance_right(0, 100) <= 0.98);
}
