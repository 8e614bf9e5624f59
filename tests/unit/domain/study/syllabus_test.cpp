#include "node/domain/study/syllabus.hpp"

#include <doctest/doctest.h>

namespace ladderline::domain {
namespace {

const RuleBook& us() {
    return *shipped_rule_book("us").value();
}

TEST_CASE("the syllabus of an element is what the country's rule book says of it") {
    for (const Exam& exam : us().exams) {
        const auto syllabus = syllabus_in(us(), std::stoi(exam.element));
        REQUIRE(syllabus.has_value());
        CHECK(syllabus->questions == exam.questions);
        CHECK(syllabus->groups == exam.questions);
        CHECK(syllabus->mark == exam.least_right);
    }
}

TEST_CASE("an element that no examination has is without a syllabus") {
    CHECK_FALSE(syllabus_in(us(), 1));
}

TEST_CASE("the practice items belong to no country") {
    CHECK(syllabus_in(RuleBook(), 0)->mark == practice_syllabus.mark);
    CHECK(elements_in(RuleBook()) == std::vector<int>{0});
}

TEST_CASE("elements that can have a pool are listed in order") {
    CHECK(elements_in(us()) == std::vector<int>{0, 2, 3, 4});
}

TEST_CASE("an examination whose element is no number has no pool") {
    RuleBook book;
    book.exams.push_back({"basic", "B", 100, 70, {}});
    CHECK(elements_in(book) == std::vector<int>{0});
}

}  // namespace
}  // namespace ladderline::domain
