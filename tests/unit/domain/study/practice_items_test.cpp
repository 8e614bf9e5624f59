#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "node/domain/study/choice_order.hpp"
#include "node/domain/study/mock_exam.hpp"
#include "node/domain/study/pool.hpp"
#include "node/domain/study/syllabus.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

Pool practice_items() {
    // The repository root, four folders above this one.
    const auto folder = std::filesystem::path(__FILE__).parent_path() / ".." / ".." / ".." / "..";
    std::ifstream file(folder / "samples" / "practice" / "ladderline_practice.txt", std::ios::binary);
    REQUIRE(file.good());
    Result<Pool> pool = read_pool(std::string(std::istreambuf_iterator<char>(file), {}));
    REQUIRE_MESSAGE(pool.has_value(), pool.error().sentence());
    return pool.value();
}

}  // namespace

TEST_CASE("the practice items are twelve groups of four, with one withdrawn") {
    const Pool pool = practice_items();
    CHECK(pool.edition == "Ladderline Practice Items, first edition");
    REQUIRE(pool.groups.size() == 12);
    for (const PoolGroup& group : pool.groups) CHECK(group.questions.size() == 4);
    CHECK(pool.withdrawn.size() == 1);
}

TEST_CASE("the practice items fit their own syllabus: twelve drawn, nine right pass") {
    CHECK(fits(practice_items(), practice_syllabus).has_value());
    CHECK(practice_syllabus.mark == 9);
}

TEST_CASE("the practice items use each letter as often as any other") {
    int keys[4] = {};
    for (const PoolQuestion& question : practice_items().questions) keys[question.key] += 1;
    for (const int count : keys) CHECK(count == 12);
}

TEST_CASE("one practice item keeps its last choice last, and none needs a figure") {
    int last_stays = 0;
    for (const PoolQuestion& question : practice_items().questions) {
        CAPTURE(question.id);
        const ChoiceClass kind = choice_class(question.stem, question.choices);
        CHECK(kind != ChoiceClass::fixed);
        last_stays += kind == ChoiceClass::last_stays ? 1 : 0;
        CHECK(question.figure.empty());
    }
    CHECK(last_stays == 1);
}

TEST_CASE("a practice pool does not fit the syllabus of an examination") {
    const Result<void> fit = fits(practice_items(), syllabus_in(*shipped_rule_book("us").value(), 2).value());
    REQUIRE_FALSE(fit.has_value());
    CHECK(fit.error().sentence().find("12 groups") != std::string::npos);
}
