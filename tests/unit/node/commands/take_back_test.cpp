#include <doctest/doctest.h>

#include <fstream>

#include "node/commands/export.hpp"
#include "node/commands/goings.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/scratch.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

// Olive's club with Max in it, who said what he can help with.
struct Club {
    SetClock clock;
    MemberNode olive{clock, 11};
    MemberNode max{clock, 12};
    protocol::CircleId club;

    Club() {
        clock.to("2026-03-02T18:00Z");
        begin_as(olive, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max, "Max", MemberRole::mentor);
        join(olive, max, "Max", CircleKind::club, MemberRole::mentor);
        club = olive.circle(CircleKind::club);
        say("antennas");
        sync(olive, max);
    }
    void say(const std::string& topic) {
        node::CardRequest request;
        request.topics = std::vector<std::string>{topic};
        must(node::change_card(max.context, request));
    }
    node::CircleView view(MemberNode& who) { return must(node::circle_meant(who.context, "club", "")); }
    // Cards of Max that this node would show.
    std::size_t cards(MemberNode& at) {
        const auto all = must(node::shown_history(at.db(), club, protocol::kind::card));
        return static_cast<std::size_t>(
            std::count_if(all.begin(), all.end(), [&](const auto& card) { return card.by == max.me().id(); }));
    }
};

TEST_CASE("what somebody took back is shown by nobody who heard of it") {
    Club c;
    REQUIRE(c.cards(c.olive) > 0);
    must(node::take_back(c.max.context, c.view(c.max)));
    CHECK(c.cards(c.max) == 0);
    sync(c.max, c.olive);
    CHECK(c.cards(c.olive) == 0);
}

TEST_CASE("what is said after taking back is shown") {
    Club c;
    must(node::take_back(c.max.context, c.view(c.max)));
    c.say("nets");
    sync(c.max, c.olive);
    CHECK(c.cards(c.olive) == 1);
}

TEST_CASE("taking back does not end anybody's membership") {
    Club c;
    must(node::take_back(c.max.context, c.view(c.max)));
    sync(c.max, c.olive);
    CHECK(must(node::people(c.olive.db(), c.club)).size() == 2);
}

TEST_CASE("nobody takes back what another one said") {
    Club c;
    const auto heads = must(c.max.log().heads(c.club));
    protocol::TakeBackBody all;
    for (const auto& head : heads) all.up_to.push_back({head.log, head.next_seq - 1, head.head});
    must(c.olive.log().append({c.club, protocol::kind::take_back, protocol::codec::encode(all), {}}, c.clock.wall()));
    CHECK(c.cards(c.olive) > 0);
}

TEST_CASE("words taken back leave the export too") {
    Club c;
    must(node::take_back(c.max.context, c.view(c.max)));
    std::size_t cards = 0;
    must(c.max.log().visit_readable([&](const store::OpenedEvent& event) -> Result<void> {
        cards += event.body.kind == protocol::kind::card && event.circle == c.club;
        return ok();
    }));
    REQUIRE(cards > 0);
    const ScratchFolder scratch("take_back");
    must(node::export_all(c.max.context, scratch / "out", {}));
    std::ifstream in(scratch / "out" / "events.jsonl");
    std::size_t exported = 0;
    for (std::string line; std::getline(in, line);) {
        exported += line.find("antennas") != std::string::npos && line.find(to_hex(c.club.view())) != std::string::npos;
    }
    CHECK(exported == 0);
}

}  // namespace
}  // namespace ladderline
