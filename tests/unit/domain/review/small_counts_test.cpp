#include "node/domain/review/small_counts.hpp"

#include <doctest/doctest.h>

using namespace ladderline::domain;

TEST_CASE("a group below five is not counted out in print") {
    for (int n = 0; n < 5; ++n) CHECK(fewer_than_five(n) == "fewer than five");
    CHECK(fewer_than_five(5) == "5");
    CHECK(fewer_than_five(120) == "120");
}
