// What speaks against the clock stands on the first page, whoever's it is, and nowhere else.

#include "node/commands/clock_note.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("The first page says that something speaks against the clock, until nothing does, and no other page") {
    Cast cast;
    const WallTime a_year_on{cast.newcomer.context.now().ms + 365LL * 86'400'000};
    must(node::look_at_clock(cast.newcomer.context, {a_year_on, std::vector<domain::OtherClock>()}));
    CHECK(has(cast.newcomers.body("/"), "Is the clock right?"));
    CHECK(has(cast.newcomers.body("/"), "but this program was made on"));
    CHECK_FALSE(has(cast.newcomers.body("/way"), "Is the clock right?"));
    must(node::look_at_clock(cast.newcomer.context, {std::nullopt, std::vector<domain::OtherClock>()}));
    CHECK_FALSE(has(cast.newcomers.body("/"), "Is the clock right?"));
}

TEST_CASE("A name with markup in what is said of a clock is text") {
    Cast cast;
    const std::vector<domain::OtherClock> others{{"<b>Ben</b>", 86'400'000}};
    must(node::look_at_clock(cast.newcomer.context, {std::nullopt, others}));
    CHECK(has(cast.newcomers.body("/"), "&lt;b&gt;Ben"));
    CHECK_FALSE(has(cast.newcomers.body("/"), "<b>Ben"));
}
