#include "protocol/base/letters.hpp"

#include <doctest/doctest.h>

using namespace ladderline;

TEST_CASE("A to Z change their case, and every other byte stays as it is") {
    CHECK(lower("AZ@[az 0\xC3\x84") == "az@[az 0\xC3\x84");
    CHECK(upper("az`{AZ 0\xC3\xA4") == "AZ`{AZ 0\xC3\xA4");
}
