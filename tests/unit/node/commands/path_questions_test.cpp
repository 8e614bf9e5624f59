// Questions that are answered from the paths a node shares.

#include <doctest/doctest.h>

#include "node/commands/exam.hpp"
#include "node/commands/items.hpp"
#include "node/commands/meetings.hpp"
#include "node/commands/review.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

// A mentor who shares the path of a newcomer; no club.
struct Pair {
    SetClock clock;
    MemberNode max{clock, 1};
    MemberNode ana{clock, 2};

    Pair() {
        clock.to("2026-03-02T18:00Z");
        begin_as(max, "Max", MemberRole::mentor);
        begin_as(ana, "Ana", MemberRole::newcomer);
        join(ana, max, "Max", CircleKind::path, MemberRole::mentor);
    }
    node::ReviewAnswer ask(int number) {
        sync(ana, max);
        return must(node::question(max.context, number));
    }
    bool names_ana(int number) {
        const auto answer = ask(number);
        return answer.who.size() == 1 && answer.who[0].name == "Ana";
    }
};

TEST_CASE("a mentor without a club asks about the paths that are shared, and is told how many") {
    Pair p;
    const auto answer = p.ask(20);
    CHECK(answer.who.empty());
    CHECK(answer.looked_at == "Looked at: 1 newcomer whose path this node shares.");
    CHECK(answer.unknown == 0);
}

TEST_CASE("what rows and counts answer stays with the club's officers") {
    Pair p;
    CHECK_FALSE(node::question(p.max.context, 8).has_value());
    CHECK_FALSE(node::question(p.max.context, 30).has_value());
}

TEST_CASE("question 3 names whose fee falls due within three days") {
    Pair p;
    tick_item(p.ana, "03.08", "element 2");
    tick_item(p.ana, "04.01");
    CHECK_FALSE(p.names_ana(3));
    p.clock.pass_days(8);
    CHECK(p.names_ana(3));
}

TEST_CASE("question 4 names who passed ten days ago and has no call sign") {
    Pair p;
    tick_item(p.ana, "03.08", "element 2");
    p.clock.pass_days(9);
    CHECK_FALSE(p.names_ana(4));
    p.clock.pass_days(1);
    CHECK(p.names_ana(4));
    tick_item(p.ana, "04.06", "KD0XAA");
    CHECK_FALSE(p.names_ana(4));
}

TEST_CASE("question 5 names who left the session without somebody who calls") {
    Pair p;
    tick_item(p.ana, "03.07");
    CHECK(p.names_ana(5));
    tick_item(p.ana, "03.12", "Max");
    CHECK_FALSE(p.names_ana(5));
}

TEST_CASE("question 11 names who has a radio and no antenna") {
    Pair p;
    tick_item(p.ana, "05.10", "handheld");
    CHECK(p.names_ana(11));
    tick_item(p.ana, "05.11");
    CHECK_FALSE(p.names_ana(11));
}

TEST_CASE("question 12 names whose station was ticked as looked over and not signed") {
    Pair p;
    tick_item(p.ana, "07.17", "by Max");
    CHECK(p.names_ana(12));
}

TEST_CASE("question 20 names exams within two weeks, past ones and later ones not") {
    Pair p;
    must(node::exam_booked(p.ana.context, {day("2026-03-17"), "2", "hall"}));
    CHECK_FALSE(p.names_ana(20));
    p.clock.pass_days(1);
    CHECK(p.names_ana(20));
    p.clock.pass_days(15);
    CHECK_FALSE(p.names_ana(20));
}

TEST_CASE("question 22 names, on the mentor's own node, who has no new date") {
    Pair p;
    tick_item(p.ana, "03.10");
    CHECK(p.names_ana(22));
    must(node::exam_booked(p.ana.context, {day("2026-04-17"), "2", "hall"}));
    CHECK_FALSE(p.names_ana(22));
}

TEST_CASE("question 26 says at which hour and where nobody was heard, without a name") {
    Pair p;
    CHECK(p.ask(26).counts.empty());
    CHECK(p.ask(26).none == "No arranged contact of these paths ended with 'nobody heard'.");
    for (const auto outcome : {protocol::MeetOutcome::nobody_heard, protocol::MeetOutcome::nobody_heard,
                               protocol::MeetOutcome::made, protocol::MeetOutcome::moved}) {
        p.clock.pass_days(1);
        node::MeetRequest request;
        request.start = p.clock.wall();
        request.first_frequency = "146.52";
        request.mode = "FM";
        must(node::meet(p.ana.context, request));
        must(node::meet_outcome(p.ana.context, {"", "", outcome}));
    }
    const auto answer = p.ask(26);
    REQUIRE(answer.counts.size() == 1);
    CHECK(answer.counts[0] == "18 to 19 UTC, 146.52 MHz FM: nobody heard 2 times.");
    CHECK(answer.who.empty());
}

TEST_CASE("where no path is looked at, no question about paths answers 'nobody'") {
    SetClock clock;
    MemberNode olga{clock, 9};
    begin_as(olga, "Olga", MemberRole::officer, false, "Lakeside Radio Club");
    for (const auto& asked : node::review_questions()) {
        if (asked.from != node::AnsweredFrom::paths) continue;
        CAPTURE(asked.number);
        CHECK(must(node::question(olga.context, asked.number)).none.starts_with("Not known here"));
    }
}

TEST_CASE("question 25 names contacts that failed, and whether they were set again") {
    Pair p;
    node::MeetRequest request;
    request.start = p.clock.wall();
    request.first_frequency = "146.52";
    must(node::meet(p.ana.context, request));
    must(node::meet_outcome(p.ana.context, {"", "", protocol::MeetOutcome::nobody_heard}));
    const auto failed = p.ask(25).who;
    REQUIRE(failed.size() == 1);
    CHECK(failed[0].detail.find("not set again") != std::string::npos);
    request.start.ms += 86'400'000;
    must(node::meet(p.ana.context, request));
    CHECK(p.ask(25).who.at(0).detail.find(", set again") != std::string::npos);
}

TEST_CASE("question 25: what was set again and made stays set again, whatever was arranged after it") {
    Pair p;
    node::MeetRequest request;
    request.first_frequency = "146.52";
    const auto arranged = [&](const char* start, std::optional<protocol::MeetOutcome> outcome) {
        request.start = utc(start);
        const auto id = must(node::arrange(p.ana.context, request)).id;
        if (!outcome) return;
        p.clock.now = request.start;
        must(node::meet_outcome(p.ana.context, {"", to_hex(id.view()), *outcome}));
    };
    const WallTime begin = p.clock.wall();
    arranged(to_iso_minute({begin.ms + 3'600'000}).c_str(), protocol::MeetOutcome::nobody_heard);
    arranged(to_iso_minute({begin.ms + 7'200'000}).c_str(), protocol::MeetOutcome::made);
    arranged(to_iso_minute({begin.ms + 10'800'000}).c_str(), std::nullopt);
    p.clock.now = {begin.ms + 86'400'000};
    CHECK(p.ask(25).who.at(0).detail.ends_with("Z, set again"));
}

TEST_CASE("question 27 knows a loan by its whole words, however they are written") {
    for (const char* text : {"Borrowed from the club", "on LOAN, until April", "lent by Max", "(loaned)"}) {
        CAPTURE(text);
        Pair p;
        tick_item(p.ana, "05.10", text);
        CHECK(p.names_ana(27));
    }
    for (const char* text : {"an excellent handheld", "from Sloan's shop", "my own"}) {
        CAPTURE(text);
        Pair p;
        tick_item(p.ana, "05.10", text);
        CHECK_FALSE(p.names_ana(27));
    }
}

TEST_CASE("question 27 names what was borrowed until it is back") {
    Pair p;
    tick_item(p.ana, "05.10", "handheld borrowed from the club until April");
    CHECK(p.names_ana(27));
    tick_item(p.ana, "05.18");
    CHECK_FALSE(p.names_ana(27));
}

}  // namespace
}  // namespace ladderline
