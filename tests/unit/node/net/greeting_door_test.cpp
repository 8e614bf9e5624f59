#include "node/net/greeting_door.hpp"

#include <doctest/doctest.h>

namespace ladderline::test {
namespace {

using namespace ladderline::protocol;
using node::net::GreetingDoor;
using Stage = GreetingDoor::Stage;

constexpr MonoTime start{1000};

struct Caller : GreetingDoor::Stranger {
    void say(bool same) override { said.push_back(same); }
    void turn_away() override { ++turned_away; }

    std::vector<bool> said;
    int turned_away = 0;
};

// A door that is open, with a caller whose letters are there.
struct OpenDoor {
    OpenDoor() { REQUIRE(door.open(InviteId{}, start).has_value()); }
    void let_call(Caller& who) {
        REQUIRE(door.enter(who, start));
        door.on_letters(who, "ABCDXY");
    }

    GreetingDoor door;
    Caller caller;
};

TEST_CASE("a door that nobody opened lets nobody call") {
    GreetingDoor door;
    Caller caller;
    CHECK_FALSE(door.may_call(start));
    CHECK_FALSE(door.enter(caller, start));
}

TEST_CASE("a door takes one stranger at a time") {
    OpenDoor d;
    Caller other;
    REQUIRE(d.door.enter(d.caller, start));
    CHECK_FALSE(d.door.may_call(start));
    CHECK_FALSE(d.door.enter(other, start));
    d.door.leave(d.caller);
    CHECK(d.door.enter(other, start));
}

TEST_CASE("a second greeting is refused while one is open") {
    OpenDoor d;
    CHECK(d.door.open(InviteId{}, start).error().fault() == Fault::busy);
}

TEST_CASE("the right last two letters tell the stranger, and nothing is a failure") {
    OpenDoor d;
    d.let_call(d.caller);
    REQUIRE(d.door.hear("XY", start).has_value());
    CHECK(d.caller.said == std::vector<bool>{true});
    CHECK(d.door.stage(start) == Stage::answered);
    CHECK(d.door.failures() == 0);
}

TEST_CASE("one who was let in shuts the door") {
    OpenDoor d;
    d.let_call(d.caller);
    REQUIRE(d.door.hear("XY", start).has_value());
    d.door.on_outcome(d.caller, true, "Ada Finch");
    CHECK(d.door.stage(start) == Stage::joined);
    CHECK_FALSE(d.door.may_call(start));
    d.door.leave(d.caller);
    CHECK(d.door.failures() == 0);
}

TEST_CASE("the first two failures warn and leave the door open, the third locks it") {
    OpenDoor d;
    for (std::size_t failure = 1; failure <= 3; ++failure) {
        CAPTURE(failure);
        Caller caller;
        d.let_call(caller);
        CHECK(d.door.hear("QQ", start).error().fault() == Fault::refused);
        CHECK(caller.said == std::vector<bool>{false});
        CHECK(d.door.failures() == failure);
        CHECK(d.door.may_call(start) == (failure < 3));
    }
    CHECK(d.door.stage(start) == Stage::locked);
}

TEST_CASE("whatever ends a comparison other than two same words is a failure") {
    struct Row {
        const char* name;
        void (*end)(OpenDoor&);
    };
    const Row rows[] = {
        {"the stranger leaves", [](OpenDoor& d) { d.door.leave(d.caller); }},
        {"the stranger says that they differ", [](OpenDoor& d) { d.door.on_differed(d.caller); }},
        {"this side says so", [](OpenDoor& d) { REQUIRE(d.door.differ(start).has_value()); }},
        {"this side says so after it had said the same",
         [](OpenDoor& d) {
             REQUIRE(d.door.hear("XY", start).has_value());
             REQUIRE(d.door.differ(start).has_value());
         }},
        {"the stranger leaves after this side's word",
         [](OpenDoor& d) {
             REQUIRE(d.door.hear("XY", start).has_value());
             d.door.leave(d.caller);
         }},
    };
    for (const Row& row : rows) {
        CAPTURE(row.name);
        OpenDoor d;
        d.let_call(d.caller);
        row.end(d);
        CHECK(d.door.failures() == 1);
        CHECK(d.door.stage(start) == Stage::waiting);
        CHECK_FALSE(d.door.is_inside(d.caller));
        CHECK(d.door.letters().empty());
    }
}

TEST_CASE("a stranger who leaves before there are letters is no failure") {
    OpenDoor d;
    REQUIRE(d.door.enter(d.caller, start));
    d.door.leave(d.caller);
    CHECK(d.door.failures() == 0);
    CHECK(d.door.stage(start) == Stage::waiting);
}

TEST_CASE("an answer without letters to answer is refused and counts as nothing") {
    OpenDoor d;
    CHECK(d.door.hear("XY", start).error().fault() == Fault::not_found);
    CHECK(d.door.differ(start).error().fault() == Fault::not_found);
    CHECK(d.door.failures() == 0);
}

TEST_CASE("a door shuts at its time, and whoever is inside is turned away") {
    OpenDoor d;
    d.let_call(d.caller);
    const MonoTime just_before = start + (limits::greeting_ms_max - 1);
    CHECK(d.door.stage(just_before) == Stage::comparing);
    CHECK(d.door.stage(just_before + 1) == Stage::over);
    CHECK(d.caller.turned_away == 1);
    CHECK_FALSE(d.door.may_call(just_before + 1));
}

TEST_CASE("a door shut by hand turns the stranger away, and a late outcome changes nothing") {
    OpenDoor d;
    d.let_call(d.caller);
    d.door.shut();
    CHECK(d.caller.turned_away == 1);
    d.door.on_outcome(d.caller, true, "Ada Finch");
    CHECK(d.door.stage(start) == Stage::closed);
}

TEST_CASE("a door opened anew has forgotten the failures before") {
    OpenDoor d;
    for (int i = 0; i < 3; ++i) {
        Caller caller;
        d.let_call(caller);
        d.door.leave(caller);
    }
    REQUIRE(d.door.stage(start) == Stage::locked);
    REQUIRE(d.door.open(InviteId{}, start).has_value());
    CHECK(d.door.failures() == 0);
    CHECK(d.door.may_call(start));
}

TEST_CASE("every change is told") {
    OpenDoor d;
    int told = 0;
    d.door.on_change([&] { ++told; });
    d.let_call(d.caller);
    CHECK(told == 1);
    REQUIRE(d.door.hear("XY", start).has_value());
    CHECK(told == 2);
    d.door.leave(d.caller);
    CHECK(told == 3);
}

}  // namespace
}  // namespace ladderline::test
