#include "node/domain/study/mock_exam.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "tests/unit/domain/study/pool_text.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

// Groups Q1A, Q1B, ... of the given sizes, plain questions.
Pool pool_of(const std::vector<int>& sizes) {
    Pool pool;
    pool.subelements.push_back({"Q1", "LAMPS"});
    for (std::size_t g = 0; g < sizes.size(); ++g) {
        PoolGroup group{std::string("Q1") + static_cast<char>('A' + g), "Lamps", {}};
        for (int i = 0; i < sizes[g]; ++i) {
            PoolQuestion question;
            question.id = group.id + (i < 9 ? "0" : "") + std::to_string(i + 1);
            question.group = static_cast<int>(g);
            question.key = i % 4;
            question.stem = "Which lamp?";
            question.choices = {"Red", "Green", "Blue", "Black"};
            group.questions.push_back(static_cast<int>(pool.questions.size()));
            pool.questions.push_back(question);
        }
        pool.groups.push_back(group);
    }
    return pool;
}

std::vector<std::string> ids_of(const MockPaper& paper) {
    std::vector<std::string> ids;
    for (const QuestionShowing& showing : paper.showings) ids.push_back(showing.question);
    return ids;
}

}  // namespace

TEST_CASE("a paper has one question of each group, in the order of the pool") {
    const Pool pool = pool_of({3, 1, 5, 2});
    SplitMix64 generator(1);
    for (int n = 0; n < 50; ++n) {
        const MockPaper paper = draw_mock(pool, MockMode::faithful, {}, generator);
        REQUIRE(paper.showings.size() == 4);
        for (std::size_t g = 0; g < 4; ++g) CHECK(paper.showings[g].question.substr(0, 3) == pool.groups[g].id);
    }
}

TEST_CASE("a withdrawn question is never drawn") {
    const Pool pool = read_pool(study_test::small_pool).value();
    REQUIRE(pool.is_withdrawn("Q1A03"));
    SplitMix64 generator(1);
    std::set<std::string> drawn;
    for (int n = 0; n < 200; ++n) {
        for (const std::string& id : ids_of(draw_mock(pool, MockMode::faithful, {}, generator))) drawn.insert(id);
    }
    CHECK(drawn == std::set<std::string>{"Q1A01", "Q1A02", "Q1A05", "Q1B01", "Q2A01"});
}

TEST_CASE("the same seed draws the same paper again") {
    const Pool pool = pool_of({7, 8, 9});
    SplitMix64 one(4);
    SplitMix64 other(4);
    CHECK(draw_mock(pool, MockMode::faithful, {}, one) == draw_mock(pool, MockMode::faithful, {}, other));
}

TEST_CASE("fresh papers go once through a group before a question comes back") {
    const Pool pool = pool_of({4, 3, 1});
    SplitMix64 generator(9);
    std::vector<std::string> before;
    std::map<char, std::vector<std::string>> by_group;
    for (int n = 0; n < 60; ++n) {
        for (const std::string& id : ids_of(draw_mock(pool, MockMode::fresh, before, generator))) {
            before.push_back(id);
            by_group[id[2]].push_back(id);
        }
    }
    for (const auto& [group, ids] : by_group) {
        CAPTURE(group);
        const std::size_t size = group == 'A' ? 4 : group == 'B' ? 3 : 1;
        for (std::size_t from = 0; from + size <= ids.size(); from += size) {
            CHECK(std::set<std::string>(ids.begin() + static_cast<std::ptrdiff_t>(from),
                                        ids.begin() + static_cast<std::ptrdiff_t>(from + size))
                      .size() == size);
        }
        for (std::size_t i = 1; size > 1 && i < ids.size(); ++i) CHECK(ids[i] != ids[i - 1]);
    }
}

TEST_CASE("fresh papers pass over ids that the pool no longer has") {
    const Pool pool = pool_of({2});
    SplitMix64 generator(9);
    const std::vector<std::string> before = {"Q1A77", "Q1A01", "nonsense"};
    for (int n = 0; n < 20; ++n) {
        CHECK(ids_of(draw_mock(pool, MockMode::fresh, before, generator)).at(0) == "Q1A02");
    }
}
