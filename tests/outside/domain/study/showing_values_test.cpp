// The generator's published values, and the fairness of the orders that learners see.

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <map>
#include <numeric>
#include <string>
#include <vector>

#include "node/domain/study/choice_order.hpp"
#include "node/domain/study/random.hpp"
#include "tests/outside/domain/study/chi_square.hpp"
#include "tests/outside/domain/study/printed.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

using Order = std::array<std::uint8_t, 4>;

Order shuffled(SplitMix64& generator) {
    Order order{0, 1, 2, 3};
    shuffle(generator, std::span(order));
    return order;
}

// Counts of all 24 orders, in any order.
std::vector<int> order_counts(const std::map<Order, int>& seen) {
    std::vector<int> counts;
    for (const auto& [order, count] : seen) counts.push_back(count);
    counts.resize(24, 0);
    return counts;
}

PoolQuestion plain_question(const std::string& id, int key) {
    PoolQuestion question;
    question.id = id;
    question.key = key;
    question.stem = "Which one of the four was meant?";
    question.choices = {"The red one", "The green one", "The blue one", "The black one"};
    return question;
}

// Upper points of the chi-square distribution at 1e-4. Source: scipy 1.10.1 and R 4.2.2 qchisq.
constexpr double limit_df_23 = 57.0746431386;
constexpr double limit_df_3 = 21.1075134662;
constexpr double limit_df_9 = 33.7199484390;

}  // namespace

// Source: published values of SplitMix64 for seed 1234567.
TEST_CASE("the generator gives the published numbers") {
    SplitMix64 generator(1234567);
    CHECK(generator.next() == 6457827717110365317U);
    CHECK(generator.next() == 3203168211198807973U);
    CHECK(generator.next() == 9817491932198370423U);
    CHECK(generator.next() == 4593380528125082431U);
    CHECK(generator.next() == 16408922859458223821U);
}

// Own formula, not outside: a program written apart from this one.
TEST_CASE("six shuffles in a row from seed 42") {
    SplitMix64 generator(42);
    std::vector<std::string> orders;
    for (int i = 0; i < 6; ++i) {
        std::string digits;
        for (const std::uint8_t place : shuffled(generator)) digits += static_cast<char>('0' + place);
        orders.push_back(digits);
    }
    CHECK(orders == std::vector<std::string>{"1302", "2301", "1320", "1302", "0312", "1230"});
}

// Own formula, not outside: a program written apart from this one.
TEST_CASE("24,000 shuffles from seed 2026 give all 24 orders about equally often") {
    SplitMix64 generator(2026);
    std::map<Order, int> seen;
    for (int i = 0; i < 24000; ++i) seen[shuffled(generator)] += 1;
    CHECK(seen.size() == 24);
    CHECK_PRINTED(study_test::chi_square_equal(order_counts(seen)), "29.672");
}

// Limit: scipy 1.10.1 and R 4.2.2.
TEST_CASE("24,000 showings of one question: no order is preferred") {
    SplitMix64 generator(7);
    const PoolQuestion question = plain_question("Q1A01", 2);
    std::map<Order, int> seen;
    for (int i = 0; i < 24000; ++i) seen[draw_showing(question, generator).order] += 1;
    CHECK(study_test::chi_square_equal(order_counts(seen)) < limit_df_23);
}

// Limit: scipy 1.10.1 and R 4.2.2. The two faults are the usual slips in writing a shuffle.
TEST_CASE("the test of the orders finds a shuffle that swaps with any place, and one that only turns in a circle") {
    SplitMix64 generator(7);
    std::map<Order, int> any_place;
    std::map<Order, int> off_by_one;
    for (int n = 0; n < 24000; ++n) {
        Order order{0, 1, 2, 3};
        for (std::size_t i = 0; i < 4; ++i) std::swap(order[i], order[bounded(generator, 4)]);
        any_place[order] += 1;
        order = {0, 1, 2, 3};
        for (std::size_t i = 3; i > 0; --i) std::swap(order[i], order[bounded(generator, i)]);
        off_by_one[order] += 1;
    }
    CHECK(study_test::chi_square_equal(order_counts(any_place)) > limit_df_23);
    CHECK(study_test::chi_square_equal(order_counts(off_by_one)) > limit_df_23);
}

// Limit: scipy 1.10.1 and R 4.2.2.
TEST_CASE("the right answer stands at every letter equally often, whatever its letter in the pool") {
    SplitMix64 generator(11);
    std::vector<int> places(4, 0);
    for (int i = 0; i < 24000; ++i) {
        const QuestionShowing showing = draw_showing(plain_question("Q1A01", i % 7 == 0 ? 1 : 3), generator);
        places[showing.right_place] += 1;
    }
    CHECK(study_test::chi_square_equal(places) < limit_df_3);
}

// Limit: scipy 1.10.1 and R 4.2.2.
TEST_CASE("the letter of the right answer does not hang on the question") {
    SplitMix64 generator(13);
    std::vector<std::vector<int>> table(4, std::vector<int>(4, 0));
    for (int i = 0; i < 24000; ++i) {
        const int key = i % 4;
        const QuestionShowing showing = draw_showing(plain_question("Q1A0" + std::to_string(key + 1), key), generator);
        table[static_cast<std::size_t>(key)][showing.right_place] += 1;
    }
    CHECK(study_test::chi_square_table(table) < limit_df_9);
}

// Source: R 4.2.2 chisq.test and scipy 1.10.1.
TEST_CASE("chi-square of a table of letters against rows") {
    CHECK_PRINTED(study_test::chi_square_table({{30, 22, 25, 23}, {18, 29, 27, 26}, {24, 26, 21, 29}}),
                  "5.42046994102");
}
