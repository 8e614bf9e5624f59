// What is about safety and was done is asked for again after its time, by both who see the way.

#include <doctest/doctest.h>

#include <algorithm>

#include "node/commands/today.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

constexpr const char* lightning_plan = "07.08";

struct Pair {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode max{clock, 2};

    // The plan was done and signed on the first day.
    Pair() {
        clock.to("2025-11-20T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(max, "Max", MemberRole::mentor);
        join(ana, max, "Max", CircleKind::path, MemberRole::mentor);
        tick_item(ana, lightning_plan);
        sync(ana, max);
        sign_item(max, "Ana", lightning_plan);
        sync(ana, max);
    }
    std::string next() {
        const auto view = must(node::way(ana.context, ""));
        return view.progress.next ? domain::to_text(view.progress.next->item) : "-";
    }
    std::string today() {
        const node::Today all = must(node::today(ana.context));
        std::string out;
        for (const auto& line : all.parts.front().lines) out += line.sentence + " ";
        return out;
    }
    bool max_is_to_sign() {
        sync(ana, max);
        const auto view = must(node::way(max.context, "Ana"));
        return std::any_of(view.progress.waiting.begin(), view.progress.waiting.end(), [](const domain::Waiting& w) {
            return w.what == domain::Awaited::signature && w.item && domain::to_text(*w.item) == lightning_plan;
        });
    }
};

}  // namespace

TEST_CASE("what is about safety is the next step again after a year, with the reason, until it is done anew") {
    Pair p;
    p.clock.pass_days(364);
    CHECK(p.next() != lightning_plan);
    p.clock.pass_days(1);
    CHECK(p.next() == lightning_plan);
    CHECK(p.today().find("Last looked at on 2025-11-20; safety is looked at again") != std::string::npos);
    tick_item(p.ana, lightning_plan);
    CHECK(p.next() != lightning_plan);
}

TEST_CASE("what was done anew waits for another signature, and rests for a year after it") {
    Pair p;
    CHECK_FALSE(p.max_is_to_sign());
    p.clock.pass_days(365);
    tick_item(p.ana, lightning_plan);
    CHECK(p.max_is_to_sign());
    p.clock.pass_minutes(1);
    sign_item(p.max, "Ana", lightning_plan);
    CHECK_FALSE(p.max_is_to_sign());
    p.clock.pass_days(364);
    CHECK(p.next() != lightning_plan);
    p.clock.pass_days(1);
    CHECK(p.next() == lightning_plan);
}

TEST_CASE("a safety item that was skipped since is not pressed, and what is none is not asked for again") {
    Pair p;
    tick_item(p.ana, "14.09");
    p.clock.pass_days(365);
    must(node::set_aside(p.ana.context, {lightning_plan, domain::StatementKind::skip}));
    CHECK(p.next() == "00.01");
}

}  // namespace ladderline
