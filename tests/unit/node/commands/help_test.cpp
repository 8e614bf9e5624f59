#include "node/commands/help.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

struct Pair {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};

    Pair() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
    }
    node::WayView seen_by_ben() {
        sync(ana, ben);
        return must(node::way(ben.context, "Ana"));
    }
};

TEST_CASE("the mentor sees what the newcomer needs a hand with, and since when") {
    Pair p;
    must(node::ask_for_help(p.ana.context, "which antenna", day("2026-02-20")));
    const node::WayView way = p.seen_by_ben();
    CHECK(way.help_topic == "which antenna");
    CHECK(way.help_since == day("2026-02-20"));
}

TEST_CASE("a question waits for the mentor's answer, and without a mentor on the path for a mentor") {
    const auto waits_for = [](MemberNode& who) {
        const auto waiting = must(node::way(who.context, "")).progress.waiting;
        REQUIRE(waiting.size() == 1);
        return waiting.front().what;
    };
    Pair p;
    must(node::ask_for_help(p.ana.context, "which antenna", std::nullopt));
    CHECK(waits_for(p.ana) == domain::Awaited::mentor_reply);
    MemberNode kim{p.clock, 3};
    begin_as(kim, "Kim", MemberRole::newcomer);
    must(node::ask_for_help(kim.context, "which antenna", std::nullopt));
    CHECK(waits_for(kim) == domain::Awaited::mentor);
}

TEST_CASE("a settled question is not shown any more") {
    Pair p;
    must(node::ask_for_help(p.ana.context, "which antenna", std::nullopt));
    must(node::ask_for_help(p.ana.context, "", std::nullopt));
    CHECK(p.seen_by_ben().help_topic.empty());
}

TEST_CASE("nobody asks from a day to come, and nothing is stored then") {
    Pair p;
    const auto before = p.ana.events();
    CHECK(must_fail(node::ask_for_help(p.ana.context, "antenna", day("2026-03-09"))).fault() == Fault::bad_input);
    CHECK(p.ana.events() == before);
}

TEST_CASE("a question over more than one line's length is refused, and nothing is stored") {
    Pair p;
    const auto before = p.ana.events();
    const std::string long_words(protocol::limits::line_bytes_max + 1, 'x');
    CHECK(must_fail(node::ask_for_help(p.ana.context, long_words, std::nullopt)).fault() == Fault::bad_input);
    CHECK(p.ana.events() == before);
}

TEST_CASE("the day on which the mentor was in touch reaches the newcomer") {
    Pair p;
    must(node::was_in_touch(p.ben.context, "Ana", day("2026-03-01")));
    sync(p.ana, p.ben);
    CHECK(must(node::way(p.ana.context, "")).dates.last_mentor_touch == day("2026-03-01"));
}

TEST_CASE("a newcomer cannot say that the mentor was in touch") {
    Pair p;
    CHECK(must_fail(node::was_in_touch(p.ana.context, "", std::nullopt)).fault() == Fault::refused);
}

}  // namespace
}  // namespace ladderline
