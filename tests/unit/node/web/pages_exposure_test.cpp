// The exposure worksheet as a page.

#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("The worksheet works the usual station out and always shows the cautions") {
    Cast cast;
    // 5 W and no gain at 146.52 MHz, always on, over usual ground: 0.319 m and 0.714 m by the formula of OET
    // Bulletin 65.
    const std::string page =
        cast.newcomers.body("/exposure?mhz=146.52&watt=5&mode=fm&on=10&off=0&loss=0&gain=0&metres=2");
    CHECK(has(page, "at least 0.4 m from the nearest part of the antenna"));
    CHECK(has(page, "at least 0.8 m."));
    CHECK(has(page, "within the limit"));
    CHECK(has(page, "decides nothing: the rules do"));
    CHECK(has(page, "<circle"));
}

TEST_CASE("What is over the limit is said so in capitals") {
    Cast cast;
    const std::string page = cast.newcomers.body("/exposure?mhz=146.52&watt=1500&mode=fm&gain=12&metres=1");
    CHECK(has(page, "OVER THE LIMIT"));
}

TEST_CASE("A number that cannot be read is named, and the cautions stay") {
    Cast cast;
    const std::string page = cast.newcomers.body("/exposure?watt=plenty");
    CHECK(has(page, "Power at the transmitter, watts PEP: write a number, as 50."));
    CHECK(has(page, "value=\"plenty\""));
    CHECK(has(page, "decides nothing: the rules do"));
}
