// 120 simulated learners with a known truth, 151,644 answers, where the data are at hand.
// Source: own simulation; its truth is known, so what is forecast is held against it. The estimates beside it are own
// formula, not outside: two programs written apart from this one.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "node/domain/study/readiness.hpp"
#include "node/domain/study/syllabus.hpp"
#include "tests/outside/domain/study/check_data.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

struct Learner {
    std::string truth;  // kind of the simulated truth
    double exam_day = 0;
    double true_chance = 0;
    bool passed = false;
    double reference = 0;
    double estimate = 0;
    double naive = 0;  // binomial tail at the share right so far
};

StudyShape simulated_shape() {
    const int sizes[] = {11, 12, 12, 11, 12, 12, 11, 12, 12, 11, 12, 13};
    std::vector<int> groups;
    for (std::size_t g = 0; g < 35; ++g) groups.push_back(sizes[g % std::size(sizes)]);
    return shape_of(groups);
}

std::map<int, std::vector<StudyAnswer>> read_answers(const std::string& text, const StudyShape& shape) {
    std::vector<int> first(shape.group_sizes.size(), 0);
    for (std::size_t g = 1; g < first.size(); ++g) first[g] = first[g - 1] + shape.group_sizes[g - 1];
    std::map<int, std::vector<StudyAnswer>> answers;
    std::istringstream lines(text);
    std::string line;
    std::getline(lines, line);
    while (std::getline(lines, line)) {
        int learner = 0, group = 0, question = 0, right = 0;
        double day = 0;
        REQUIRE(std::sscanf(line.c_str(), "%d,%lf,%d,%d,%d", &learner, &day, &group, &question, &right) == 5);
        const Outcome outcome = right == 1 ? Outcome::right : Outcome::wrong;
        answers[learner].push_back({first[static_cast<std::size_t>(group)] + question, day, outcome});
    }
    return answers;
}

double naive_estimate(const std::vector<StudyAnswer>& answers, const Syllabus& syllabus) {
    double right = 0;
    for (const StudyAnswer& answer : answers) right += answer.outcome == Outcome::right ? 1 : 0;
    const double share = (right + 1) / (static_cast<double>(answers.size()) + 2);
    double tail = 0;
    for (int k = syllabus.mark; k <= syllabus.questions; ++k) {
        const int n = syllabus.questions;
        tail += std::exp(std::lgamma(n + 1) - std::lgamma(k + 1) - std::lgamma(n - k + 1) + k * std::log(share) +
                         (n - k) * std::log(1 - share));
    }
    return tail;
}

std::vector<Learner> estimated_learners() {
    const auto answers_text = study_test::check_data("vectors/learners_answers.csv");
    if (!answers_text) return {};
    const auto learners_text = study_test::check_data("vectors/learners_learners.csv");
    const StudyShape shape = simulated_shape();
    const Syllabus syllabus = *syllabus_in(*shipped_rule_book("us").value(), 3);
    const auto answers = read_answers(*answers_text, shape);
    std::vector<Learner> learners;
    std::istringstream lines(*learners_text);
    std::string line;
    std::getline(lines, line);
    while (std::getline(lines, line)) {
        std::replace(line.begin(), line.end(), ',', ' ');
        std::istringstream fields(line);
        int number = 0, passed = 0;
        Learner learner;
        fields >> number >> learner.truth >> learner.exam_day >> learner.true_chance >> passed >> learner.reference;
        learner.passed = passed == 1;
        const auto& own = answers.at(number);
        learner.estimate = pass_chance(StudyMemory::replay(shape, own), syllabus.mark, learner.exam_day);
        learner.naive = naive_estimate(own, syllabus);
        learners.push_back(learner);
    }
    return learners;
}

const std::vector<Learner>& learners() {
    static const std::vector<Learner> all = estimated_learners();
    return all;
}

// Logistic regression of the true chance on the logit of the estimate (Cox 1958), by Newton's method.
struct Line {
    double intercept = 0;
    double slope = 1;
};

Line calibration_line(const std::vector<Learner>& group) {
    Line line;
    for (int round = 0; round < 50; ++round) {
        double g0 = 0, g1 = 0, h00 = 0, h01 = 0, h11 = 0;
        for (const Learner& learner : group) {
            const double x = std::log(learner.estimate / (1 - learner.estimate));
            const double p = 1 / (1 + std::exp(-(line.intercept + line.slope * x)));
            const double w = p * (1 - p);
            g0 += learner.true_chance - p;
            g1 += (learner.true_chance - p) * x;
            h00 += w;
            h01 += w * x;
            h11 += w * x * x;
        }
        const double det = h00 * h11 - h01 * h01;
        line.intercept += (h11 * g0 - h01 * g1) / det;
        line.slope += (h00 * g1 - h01 * g0) / det;
    }
    return line;
}

struct Figures {
    double error = 0;
    double naive_error = 0;
    double brier = 0;
    Line line;
};

Figures figures_of(const std::string& truth) {
    std::vector<Learner> group;
    for (const Learner& learner : learners()) {
        if (learner.truth == truth) group.push_back(learner);
    }
    Figures figures;
    for (const Learner& learner : group) {
        figures.error += std::pow(learner.estimate - learner.true_chance, 2);
        figures.naive_error += std::pow(learner.naive - learner.true_chance, 2);
        figures.brier += std::pow(learner.estimate - (learner.passed ? 1 : 0), 2);
    }
    const auto count = static_cast<double>(group.size());
    figures.error /= count;
    figures.naive_error /= count;
    figures.brier /= count;
    figures.line = calibration_line(group);
    MESSAGE(truth << " (" << group.size() << " learners): error " << figures.error << ", naive " << figures.naive_error
                  << ", Brier " << figures.brier << ", slope " << figures.line.slope << ", intercept "
                  << figures.line.intercept);
    return figures;
}

}  // namespace

TEST_CASE("120 learners: the chance to pass agrees with the reference to 5e-6") {
    double worst = 0;
    for (const Learner& learner : learners()) worst = std::max(worst, std::abs(learner.estimate - learner.reference));
    if (learners().empty()) return;
    REQUIRE(learners().size() == 120);
    MESSAGE("largest difference from the reference: " << worst);
    CHECK(worst <= 5e-6);
}

TEST_CASE("120 learners: the estimates are close to the truth and well calibrated") {
    if (learners().empty()) return;
    for (const char* truth : {"power", "exp2"}) {
        CAPTURE(std::string(truth));
        const Figures figures = figures_of(truth);
        CHECK(figures.error <= 0.0085);
        CHECK(figures.error <= figures.naive_error / 10);
        CHECK(figures.line.slope >= 0.85);
        CHECK(figures.line.slope <= 1.15);
        CHECK(std::abs(figures.line.intercept) <= 0.20);
    }
}
