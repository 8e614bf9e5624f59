#include "node/commands/help.hpp"

#include <doctest/doctest.h>

#include "node/commands/contacts.hpp"
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

TEST_CASE("by when to be in touch again is told to the mentor alone") {
    const auto touch_due = [](const node::WayView& way) {
        std::string out;
        for (const auto& line : way.due) {
            if (line.what == domain::Due::mentor_touch) out = to_iso(line.day);
        }
        return out;
    };
    Pair p;
    CHECK(touch_due(p.seen_by_ben()) == to_iso(utc_day(p.clock.now) + 7));
    CHECK(touch_due(must(node::way(p.ana.context, ""))) == "");
}

TEST_CASE("after the one kind note nothing is pressed until the newcomer is heard again") {
    const auto is_pressed = [](const node::WayView& way) {
        return std::any_of(way.due.begin(), way.due.end(),
                           [](const auto& line) { return line.what == domain::Due::quiet_note; });
    };
    Pair p;
    node::ContactRequest contact;
    contact.start = {p.clock.now.ms - 3'600'000};
    contact.worked = "KD0XBB";
    contact.frequency = "146.52";
    contact.mode = "FM";
    contact.guest_of = "KD0XCC";
    must(node::log_contact(p.ana.context, contact));
    p.clock.now.ms += 30 * 86'400'000LL;
    CHECK(is_pressed(p.seen_by_ben()));
    must(node::was_in_touch(p.ben.context, "Ana", std::nullopt));
    CHECK_FALSE(is_pressed(p.seen_by_ben()));
}

TEST_CASE("a newcomer cannot say that the mentor was in touch") {
    Pair p;
    CHECK(must_fail(node::was_in_touch(p.ana.context, "", std::nullopt)).fault() == Fault::refused);
}

}  // namespace
}  // namespace ladderline
