#include "node/domain/study/readiness.hpp"

#include <doctest/doctest.h>

#include <numeric>
#include <vector>

#include "node/domain/study/random.hpp"

using namespace ladderline::domain;

namespace {

StudyMemory learner() {
    SplitMix64 generator(21);
    std::vector<StudyAnswer> answers;
    for (int n = 0; n < 60; ++n) {
        const Outcome outcome = bounded(generator, 3) == 0 ? Outcome::wrong : Outcome::right;
        answers.push_back({static_cast<int>(bounded(generator, 18)), n / 10.0, outcome});
    }
    return StudyMemory::replay(shape_of(std::vector<int>{3, 5, 4, 6, 2, 4}), answers);
}

}  // namespace

TEST_CASE("the points are a distribution whose mean is the sum of the groups' chances") {
    const Readiness result = readiness(learner(), 4, 8);
    CHECK(std::accumulate(result.mass.begin(), result.mass.end(), 0.0) == doctest::Approx(1).epsilon(1e-12));
    CHECK(result.points_expected ==
          doctest::Approx(std::accumulate(result.group_means.begin(), result.group_means.end(), 0.0)));
    CHECK(result.points_low <= result.points_expected);
    CHECK(result.points_high >= result.points_expected);
}

TEST_CASE("a mark of nothing is always reached, one above all groups never") {
    CHECK(pass_chance(learner(), 0, 8) == doctest::Approx(1));
    CHECK(pass_chance(learner(), 7, 8) == 0);
}

TEST_CASE("who waits longer after the last practice passes less likely") {
    CHECK(pass_chance(learner(), 4, 8) > pass_chance(learner(), 4, 20));
    CHECK(pass_chance(learner(), 4, 20) > pass_chance(learner(), 4, 200));
}

TEST_CASE("an exam day before the last answer counts as the moment of that answer") {
    const StudyMemory memory =
        StudyMemory::replay(shape_of(std::vector<int>{1}), std::vector<StudyAnswer>{{0, 9, Outcome::right}});
    CHECK(pass_chance(memory, 1, 3) == pass_chance(memory, 1, 9));
}

TEST_CASE("without any answer the chance rests on the share that newcomers know beforehand") {
    const StudyMemory nobody(shape_of(std::vector<int>{3, 3}));
    const Readiness result = readiness(nobody, 2, 0);
    CHECK(result.group_means[0] == doctest::Approx(nobody.unseen_chance(0)));
    CHECK(result.pass_chance == pass_chance(nobody, 2, 1000));
}

TEST_CASE("a gain is the very difference that one more showing makes") {
    const StudyMemory memory = learner();
    const std::vector<double> gains = showing_gains(memory, 4, 7, 11);
    const double before = pass_chance(memory, 4, 11);
    int unseen = 0;
    for (int question = 0; question < memory.shape().question_count(); ++question) {
        CAPTURE(question);
        StudyMemory shown = memory;
        shown.apply_unknown(question, 7);
        // A first look changes what an unseen question of the group is worth to nobody, so both sides are exact.
        CHECK(gains[static_cast<std::size_t>(question)] ==
              doctest::Approx(pass_chance(shown, 4, 11) - before).epsilon(1e-9));
        unseen += memory.seen(question) ? 0 : 1;
    }
    CHECK(unseen > 0);
}
