// The published General class pool 2023-2027 (6th errata, 2026-02-04), where it is at hand.
// Source of the counts: computed from the published text; withdrawn questions as its errata name them.

#include <doctest/doctest.h>

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>
#include <string>
#include <unordered_map>
#include <vector>

#include "node/domain/study/choice_order.hpp"
#include "node/domain/study/mock_exam.hpp"
#include "node/domain/study/pool.hpp"
#include "tests/outside/domain/study/check_data.hpp"
#include "tests/outside/domain/study/chi_square.hpp"
#include "tests/outside/domain/study/printed.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

std::optional<Pool> general_pool() {
    const auto text = study_test::check_data("pools/general-2023-2027.txt");
    if (!text) return std::nullopt;
    Result<Pool> pool = read_pool(*text);
    REQUIRE_MESSAGE(pool.has_value(), pool.error().sentence());
    return pool.value();
}

}  // namespace

TEST_CASE("the General pool has 423 questions in 35 groups") {
    const auto pool = general_pool();
    if (!pool) return;
    CHECK(pool->element == 3);
    CHECK(pool->questions.size() == 423);
    CHECK(pool->groups.size() == 35);
    CHECK(fits(*pool, *syllabus_in(*shipped_rule_book("us").value(), 3)).has_value());
}

TEST_CASE("the General pool has nine withdrawn questions") {
    const auto pool = general_pool();
    if (!pool) return;
    CHECK(pool->withdrawn ==
          std::vector<std::string>{"G1A04", "G1C08", "G1C09", "G1C10", "G1E09", "G6B09", "G8C01", "G9C06", "G9D13"});
}

TEST_CASE("the General pool's sub-elements hold as many questions as were counted") {
    const auto pool = general_pool();
    if (!pool) return;
    std::vector<int> counts;
    for (const PoolSubelement& part : pool->subelements) {
        counts.push_back(0);
        for (const PoolGroup& group : pool->groups) {
            if (group.id.starts_with(part.id)) counts.back() += static_cast<int>(group.questions.size());
        }
    }
    CHECK(counts == std::vector<int>{52, 60, 37, 60, 40, 23, 38, 42, 46, 25});
}

TEST_CASE("five questions of the General pool need figure G7-1") {
    const auto pool = general_pool();
    if (!pool) return;
    std::vector<std::string> with_figure;
    for (const PoolQuestion& question : pool->questions) {
        if (question.figure == "G7-1") with_figure.push_back(question.id);
    }
    CHECK(with_figure == std::vector<std::string>{"G7A09", "G7A10", "G7A11", "G7A12", "G7A13"});
    CHECK(std::count_if(pool->questions.begin(), pool->questions.end(),
                        [](const PoolQuestion& question) { return !question.figure.empty(); }) == 5);
}

TEST_CASE("the General pool is in force from July 2023 to June 2027") {
    const auto pool = general_pool();
    if (!pool) return;
    CHECK(to_iso(*pool->valid_from) == "2023-07-01");
    CHECK(to_iso(*pool->valid_until) == "2027-06-30");
    CHECK(pool->first_year == 2023);
    CHECK(pool->last_year == 2027);
}

TEST_CASE("in the General pool 381 questions may be shuffled, 42 keep their last choice last, none is fixed") {
    const auto pool = general_pool();
    if (!pool) return;
    int shuffled = 0;
    int last_stays = 0;
    int last_is_right = 0;
    for (const PoolQuestion& question : pool->questions) {
        const ChoiceClass kind = choice_class(question.stem, question.choices);
        shuffled += kind == ChoiceClass::shuffle ? 1 : 0;
        last_stays += kind == ChoiceClass::last_stays ? 1 : 0;
        last_is_right += kind == ChoiceClass::last_stays && question.key == 3 ? 1 : 0;
    }
    CHECK(shuffled == 381);
    CHECK(last_stays == 42);
    CHECK(last_is_right == 15);
}

// Limit: upper point 1e-6 of chi-square (Boost.Math).
TEST_CASE("20,000 papers from the General pool draw every question of a group equally often") {
    auto pool = general_pool();
    if (!pool) return;
    // Drawing reads the texts only to find the class of the choices; short ones keep the check quick.
    for (PoolQuestion& question : pool->questions) {
        question.stem = "?";
        question.choices = {"w", "x", "y", "z"};
    }
    SplitMix64 generator(2026);
    std::vector<int> drawn(pool->questions.size(), 0);
    std::unordered_map<std::string, std::size_t> index;
    for (std::size_t i = 0; i < pool->questions.size(); ++i) index[pool->questions[i].id] = i;
    std::vector<std::string> before;
    double overlap = 0;
    constexpr int papers = 20000;
    for (int n = 0; n < papers; ++n) {
        const MockPaper paper = draw_mock(*pool, MockMode::faithful, {}, generator);
        std::vector<std::string> ids;
        for (std::size_t i = 0; i < paper.showings.size(); ++i) {
            ids.push_back(paper.showings[i].question);
            drawn[index.at(ids[i])] += 1;
            if (n % 2 == 1 && ids[i] == before[i]) overlap += 1;
        }
        before = std::move(ids);
    }
    double expected_overlap = 0;
    double variance = 0;
    for (const PoolGroup& group : pool->groups) {
        std::vector<int> counts;
        for (const int question : group.questions) counts.push_back(drawn[static_cast<std::size_t>(question)]);
        const auto size = static_cast<double>(counts.size());
        const boost::math::chi_squared distribution(size - 1);
        CHECK(study_test::chi_square_equal(counts) < quantile(complement(distribution, 1e-6)));
        expected_overlap += 1 / size;
        variance += 1 / size * (1 - 1 / size);
    }
    const double pairs = papers / 2;
    CHECK(std::abs(overlap / pairs - expected_overlap) < 4 * std::sqrt(variance / pairs));
}
