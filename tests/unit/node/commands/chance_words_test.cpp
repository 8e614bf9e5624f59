#include "node/commands/chance_words.hpp"

#include <doctest/doctest.h>

using namespace ladderline;

// Half a hundredth up, as numbers are rounded: 99.5 would be printed as 100, which is certainty.
TEST_CASE("a chance is never printed as certainty") {
    CHECK(node::chance_words(0.9951) == "more than 99 %");
    CHECK(node::chance_words(1) == "more than 99 %");
    CHECK(node::chance_words(0.994) == "99 %");
    CHECK(node::chance_words(0.5) == "50 %");
    CHECK(node::chance_words(0.006) == "1 %");
    CHECK(node::chance_words(0.0049) == "less than 1 %");
    CHECK(node::chance_words(0) == "less than 1 %");
}
