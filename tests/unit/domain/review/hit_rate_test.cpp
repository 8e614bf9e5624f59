#include "node/domain/review/hit_rate.hpp"

#include <doctest/doctest.h>

using namespace ladderline::domain;

TEST_CASE("no share is claimed before ten have left") {
    CHECK_FALSE(hit_rate({40, 9, 9}).left_of_listed);
    CHECK_FALSE(hit_rate({40, 9, 9}).listed_of_left);
    CHECK(hit_rate({40, 10, 8}).left_of_listed == 0.2);
    CHECK(hit_rate({40, 10, 8}).listed_of_left == 0.8);
}

TEST_CASE("a list that named nobody has no share of the named") {
    CHECK_FALSE(hit_rate({0, 12, 0}).left_of_listed);
    CHECK(hit_rate({0, 12, 0}).listed_of_left == 0.0);
}
