// A node that unlocks itself says so wherever somebody looks.

#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("Every page of a store opened by key file says that the node unlocks itself at boot") {
    Cast cast;
    for (const char* address : {"/", "/way", "/circles", "/card"}) {
        CAPTURE(address);
        cast.newcomer.context.opened_by_key_file = false;
        CHECK_FALSE(has(cast.newcomers.body(address), "unlocks itself at boot"));
        cast.newcomer.context.opened_by_key_file = true;
        CHECK(has(cast.newcomers.body(address), "unlocks itself at boot"));
    }
}
