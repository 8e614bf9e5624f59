// The map about oneself.

#include "node/commands/contacts.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

void log(Cast& cast, const char* call, const char* locator) {
    node::ContactRequest request;
    request.worked = call;
    request.start = cast.clock.now;
    request.frequency = "14.28";
    request.mode = "SSB";
    request.guest_of = "KD0XCC";
    request.locator = locator;
    must(node::log_contact(cast.newcomer.context, request));
    cast.clock.pass_minutes(5);
}

}  // namespace

TEST_CASE("The map draws each station where it lies, with rings in kilometres and miles, and a table says the same") {
    Cast cast;
    log(cast, "KD0XBB", "IO91");
    const std::string page = cast.newcomers.body("/map?from=FN31");
    CHECK(has(page, ">2,000 km<"));
    CHECK(has(page, ">3,728 mi<"));
    CHECK(has(page, "5,410 km (3,362 mi), bearing 52 degrees"));
    // 5,407 of 6,000 km are 135 of 150 units; at 52 degrees that is 107 to the right and 83 up.
    CHECK(has(page, "cx=\"106.6"));
    CHECK(has(page, "cy=\"-82.6"));
    CHECK(has(page, "Coasts and borders are not drawn."));
}

TEST_CASE("Contacts without a locator are counted and not drawn") {
    Cast cast;
    log(cast, "KD0XBB", "IO91");
    log(cast, "KD0XAA", "");
    CHECK(has(cast.newcomers.body("/map?from=FN31"), "1 of your contacts have no locator"));
}

TEST_CASE("Without an own locator, or with a bad one, the page asks for it and keeps what was typed") {
    Cast cast;
    CHECK(has(cast.newcomers.body("/map"), "A map needs your own locator"));
    CHECK(has(cast.newcomers.body("/map?from=over+there"), "value=\"over there\""));
}
