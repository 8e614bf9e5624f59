#include "node/commands/meetings.hpp"

#include <doctest/doctest.h>

#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MeetOutcome;
using protocol::MemberRole;
using namespace test;

struct Path {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};

    Path() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
    }
    node::MeetRequest meeting(const std::string& who = "") {
        node::MeetRequest request;
        request.who = who;
        request.start = {clock.now.ms + 3'600'000};
        request.first_frequency = "146.52";
        return request;
    }
};

TEST_CASE("an arranged contact is seen on both sides and gets one outcome") {
    Path p;
    CHECK(must(node::meet(p.ana.context, p.meeting())).sentence ==
          "Arranged with Ben: 2026-03-02T19:00Z on 146.52 MHz FM.");
    sync(p.ana, p.ben);
    must(node::meet_outcome(p.ben.context, {"Ana", "", MeetOutcome::nobody_heard}));
    sync(p.ana, p.ben);
    const auto meetings = must(node::way(p.ana.context, "")).meetings;
    REQUIRE(meetings.size() == 1);
    CHECK(meetings[0].outcome == MeetOutcome::nobody_heard);
    CHECK(must_fail(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::made})).fault() == Fault::not_found);
}

TEST_CASE("an arranged contact that cannot be is refused and stores nothing") {
    Path p;
    std::vector<node::MeetRequest> table(5, p.meeting());
    table[0].start = {p.clock.now.ms - 1};
    table[1].first_frequency = "";
    table[2].second_frequency = "up a bit";
    table[3].words = std::string(257, 'x');
    table[4].mode = std::string(25, 'x');
    const auto before = p.ana.events();
    for (const auto& request : table) {
        CHECK(must_fail(node::meet(p.ana.context, request)).fault() == Fault::bad_input);
    }
    CHECK(p.ana.events() == before);
}

TEST_CASE("with nobody on the path there is nobody to arrange a contact with") {
    SetClock clock;
    MemberNode ana(clock, 1);
    begin_as(ana, "Ana", MemberRole::newcomer);
    node::MeetRequest request;
    request.start = {clock.now.ms + 1000};
    request.first_frequency = "146.52";
    CHECK(must_fail(node::meet(ana.context, request)).fault() == Fault::not_found);
}

TEST_CASE("no contact is arranged with a minor before guardian, agreement and second adult are there") {
    SetClock clock;
    MemberNode mia(clock, 1);
    MemberNode gus(clock, 2);
    MemberNode sue(clock, 3);
    begin_as(mia, "Mia", MemberRole::newcomer, true);
    begin_as(gus, "Gus", MemberRole::guardian);
    begin_as(sue, "Sue", MemberRole::second_adult);
    node::MeetRequest request;
    request.with = "Gus";
    request.start = {clock.now.ms + 1000};
    request.first_frequency = "146.52";
    join(mia, gus, "Gus", CircleKind::path, MemberRole::guardian);
    CHECK(must_fail(node::meet(mia.context, request)).fault() == Fault::refused);
    join(mia, sue, "Sue", CircleKind::path, MemberRole::second_adult);
    CHECK(must_fail(node::meet(mia.context, request)).fault() == Fault::refused);
    sync(mia, gus);
    tick_item(gus, "00.05", "agreed in writing", "Mia");
    sync(mia, gus);
    CHECK(node::meet(mia.context, request).has_value());
}

TEST_CASE("times are proposed that suit both and are not taken") {
    Path p;
    const auto card = [](MemberNode& member, const std::string& times) {
        node::CardRequest request;
        request.zone = "America/New_York";
        request.windows = must(node::parse_windows(times));
        must(node::change_card(member.context, request));
    };
    card(p.ana, "Tue 18:00-19:00");
    card(p.ben, "Tue 18:00-19:00");
    sync(p.ana, p.ben);
    auto request = p.meeting();
    request.start = utc("2026-03-03T23:00Z");
    must(node::meet(p.ana.context, request));
    const auto starts = must(node::propose_times(p.ana.context, must(node::way(p.ana.context, "")), 2));
    REQUIRE(starts.size() == 2);
    CHECK(starts[0] == utc("2026-03-03T23:30Z"));
    CHECK(starts[1] == utc("2026-03-10T22:00Z"));
}

TEST_CASE("without weekly times the sentence says where to write them") {
    Path p;
    CHECK(must_fail(node::propose_times(p.ana.context, must(node::way(p.ana.context, "")), 2))
              .sentence()
              .find("weekly times") != std::string::npos);
}

}  // namespace
}  // namespace ladderline
