#include "node/domain/study/edition_choice.hpp"

#include <doctest/doctest.h>

namespace ladderline::domain {
namespace {

Day day(const char* text) {
    return parse_day(text).value();
}

// Two editions of four years that follow one another, as pools do.
const std::vector<EditionSpan> following{{day("2023-07-01"), day("2027-06-30")},
                                         {day("2027-07-01"), day("2031-06-30")}};

TEST_CASE("the last day of an edition still belongs to it") {
    CHECK(edition_for(following, day("2027-06-30")) == 0);
}

TEST_CASE("the first day of the next one belongs to the next") {
    CHECK(edition_for(following, day("2027-07-01")) == 1);
}

TEST_CASE("before all of them the first that comes counts") {
    CHECK(edition_for(following, day("2022-01-01")) == 0);
}

TEST_CASE("after all of them the one that ended last counts") {
    CHECK(edition_for(following, day("2040-01-01")) == 1);
}

TEST_CASE("between two the one that is to come counts, not the one that is over") {
    const std::vector<EditionSpan> gap{{day("2023-07-01"), day("2027-06-30")}, {day("2028-01-01"), day("2031-06-30")}};
    CHECK(edition_for(gap, day("2027-08-01")) == 1);
}

TEST_CASE("of two in force the one that began last counts, in whatever order they stand") {
    const std::vector<EditionSpan> both{{day("2024-01-01"), std::nullopt}, {day("2020-01-01"), std::nullopt}};
    CHECK(edition_for(both, day("2026-01-01")) == 0);
}

TEST_CASE("an edition without printed dates gives way to one in force that has them") {
    const std::vector<EditionSpan> both{{std::nullopt, std::nullopt}, {day("2024-01-01"), day("2027-06-30")}};
    CHECK(edition_for(both, day("2026-01-01")) == 1);
}

TEST_CASE("an edition without printed dates stands before one that is over") {
    const std::vector<EditionSpan> both{{std::nullopt, std::nullopt}, {day("2020-01-01"), day("2024-06-30")}};
    CHECK(edition_for(both, day("2026-01-01")) == 0);
}

}  // namespace
}  // namespace ladderline::domain
