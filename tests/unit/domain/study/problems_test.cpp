#include "node/domain/study/problems.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <string>

#include "node/domain/study/problem_sums.hpp"
#include "node/domain/study/problem_values.hpp"

using namespace ladderline::domain;

namespace {

constexpr int seeds = 2000;

template <class Check>
void for_each_problem(Check check) {
    for (int topic = 0; topic < problem_topics; ++topic) {
        for (std::uint64_t seed = 0; seed < seeds; ++seed) {
            const Problem problem = make_problem(static_cast<ProblemTopic>(topic), seed);
            CAPTURE(problem.stem);
            check(problem);
        }
    }
}

}  // namespace

TEST_CASE("no two choices of a problem are the same") {
    for_each_problem([](const Problem& problem) {
        std::set<std::string> texts;
        for (const ProblemChoice& choice : problem.choices) texts.insert(choice.text);
        CHECK(texts.size() == problem.choices.size());
    });
}

TEST_CASE("the right choice alone has no slip, and every other one names its own") {
    for_each_problem([](const Problem& problem) {
        std::set<std::string> slips;
        for (const ProblemChoice& choice : problem.choices) slips.insert(choice.slip);
        CHECK(slips.size() == problem.choices.size());
        CHECK(problem.choices[problem.right_place].slip.empty());
    });
}

TEST_CASE("every problem says how to round or needs none, and shows its working") {
    for_each_problem([](const Problem& problem) {
        CHECK((problem.topic == ProblemTopic::prefixes || problem.stem.ends_with("Round to three digits.")));
        CHECK(problem.working.ends_with("."));
    });
}

TEST_CASE("the working ends in the right choice") {
    for_each_problem([](const Problem& problem) {
        CHECK(problem.working.find(problem.choices[problem.right_place].text) != std::string::npos);
    });
}

TEST_CASE("the same seed makes the same problem, and other seeds make others") {
    std::set<std::string> stems;
    std::set<ProblemTopic> topics;
    for (std::uint64_t seed = 0; seed < 300; ++seed) {
        const Problem one = make_problem(seed);
        const Problem again = make_problem(seed);
        CHECK(one.stem == again.stem);
        CHECK(one.right_place == again.right_place);
        stems.insert(one.stem);
        topics.insert(one.topic);
    }
    CHECK(stems.size() > 150);
    CHECK(topics.size() == problem_topics);
}

TEST_CASE("the right choice stands at every place about equally often") {
    std::array<int, 4> times{};
    for (std::uint64_t seed = 0; seed < 4000; ++seed) times[make_problem(seed).right_place] += 1;
    for (const int count : times) {
        CHECK(count > 850);  // 1000 less five standard deviations of 27
        CHECK(count < 1150);
    }
}

TEST_CASE("whoever takes a named slip ends at that choice") {
    SplitMix64 generator(3);
    const problem_sums::Sum sum = problem_sums::dipole(generator);
    CHECK(sum.slips[0].value == doctest::Approx(sum.value * 984 / 468));
    CHECK(sum.slips[2].value == doctest::Approx(sum.value / 2));
}

TEST_CASE("quantities are written with three digits and the prefix that suits them") {
    struct Row {
        double value;
        const char* text;
    };
    for (const Row& row :
         {Row{4700, "4.7 kΩ"}, Row{999.6, "1 kΩ"}, Row{0.25, "250 mΩ"}, Row{0.00001234, "12.3 µΩ"}, Row{1, "1 Ω"},
          Row{999, "999 Ω"}, Row{1e6, "1 MΩ"}, Row{0.09996, "100 mΩ"}, Row{2.5e-9, "2.5 nΩ"}, Row{123'456, "123 kΩ"}}) {
        CHECK(with_prefix(row.value, "Ω") == row.text);
    }
}

TEST_CASE("plain numbers have three digits, no exponent and no needless zeros") {
    struct Row {
        double value;
        const char* text;
    };
    for (const Row& row : {Row{4700, "4700"}, Row{0.00025, "0.00025"}, Row{13, "13"}, Row{32.957, "33"},
                           Row{123'456, "123000"}, Row{0.1996, "0.2"}, Row{9.995e6, "10000000"}}) {
        CHECK(three_digits(row.value) == row.text);
    }
}
