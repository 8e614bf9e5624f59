#include "node/commands/contact_map.hpp"

#include <doctest/doctest.h>

#include "node/commands/contacts.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::MemberRole;
using namespace test;

struct Logged {
    SetClock clock;
    MemberNode ana{clock, 1};

    Logged() {
        begin_as(ana, "Ana", MemberRole::newcomer);
        tick_item(ana, "04.06", "KD0XAA");
    }
    void contact(const char* call, const char* locator) {
        node::ContactRequest request;
        request.worked = call;
        request.start = clock.now;
        request.frequency = "14.28";
        request.mode = "SSB";
        request.locator = locator;
        must(node::log_contact(ana.context, request));
        clock.pass_minutes(5);
    }
    Result<node::ContactMap> map(const char* from) { return node::contact_map(must(node::way(ana.context, "")), from); }
};

TEST_CASE("every station with a locator stands on the map once, the nearest first") {
    Logged l;
    l.contact("KD0XBB", "IO91");
    l.contact("KD0XBB", "IO91");
    l.contact("KD0XCC", "FN42");
    l.contact("KD0XDD", "");
    const auto map = must(l.map("FN31"));
    REQUIRE(map.stations.size() == 2);
    CHECK(map.stations[0].call == "KD0XCC");
    CHECK(map.stations[1].contacts == 2);
    CHECK(map.without_locator == 1);
    CHECK(map.middle == "FN31");
}

TEST_CASE("the table says what the ellipsoid says, in kilometres and miles") {
    Logged l;
    l.contact("KD0XBB", "IO91");
    const auto map = must(l.map("FN31"));
    CHECK(node::distance_words(map.stations[0].path) == "5,410 km (3,362 mi), bearing 52 degrees");
}

TEST_CASE("the map reaches as far as its farthest station, in whole rings") {
    Logged l;
    l.contact("KD0XBB", "IO91");
    const auto map = must(l.map("FN31"));
    CHECK(map.ring_km == 2000);
    CHECK(map.reach_km == 6000);
}

TEST_CASE("a map without an own locator says where to write it, and a bad one is named") {
    Logged l;
    CHECK(must_fail(l.map("")).fault() == Fault::not_found);
    CHECK(must_fail(l.map("over there")).fault() == Fault::bad_input);
}

}  // namespace
}  // namespace ladderline
