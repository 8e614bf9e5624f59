#include "protocol/base/comma_list.hpp"

#include <doctest/doctest.h>

using namespace ladderline;

using Words = std::vector<std::string>;

TEST_CASE("a list with commas is read as a person types it") {
    CHECK(parted("2m, 70cm") == Words{"2m", "70cm"});
    CHECK(parted(" first contact ,,antennas\n, ") == Words{"first contact", "antennas"});
    CHECK(parted("").empty());
    CHECK(parted(" , ").empty());
}

TEST_CASE("words that are joined are parted again") {
    const Words words{"2m", "first contact", "70cm"};
    CHECK(parted(joined(words)) == words);
    CHECK(joined({}).empty());
}
