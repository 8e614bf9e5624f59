#include "node/commands/returning.hpp"

#include <doctest/doctest.h>

#include "node/commands/goings.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/sees.hpp"
#include "protocol/event/kinds.hpp"
#include "store/circles/peers.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;
using Back = protocol::ReturnedMessage::Back;

// Kay is under 18; Gus is her guardian, Sue the second adult, and Max mentors her. `fresh` is a machine that Max, or
// whoever it is certified for, comes back with.
struct Path {
    SetClock clock;
    SeededRandom random{77};
    protocol::PaperSeed paper = protocol::PaperSeed::random(random);
    MemberNode kay{clock, 21};
    MemberNode gus{clock, 22};
    MemberNode sue{clock, 23};
    MemberNode max{clock, 24, &paper};
    MemberNode fresh{clock, 25, &paper};
    protocol::CircleId path;

    Path() {
        clock.to("2026-03-02T18:00Z");
        begin_as(kay, "Kay", MemberRole::newcomer, true);
        begin_as(gus, "Gus", MemberRole::guardian);
        begin_as(sue, "Sue", MemberRole::mentor);
        begin_as(max, "Max", MemberRole::mentor);
        path = kay.circle(CircleKind::path);
        join(kay, gus, "Gus", CircleKind::path, MemberRole::guardian);
        join(kay, sue, "Sue", CircleKind::path, MemberRole::second_adult);
        sync(kay, gus);
        must(node::give_consent(gus.context, "Kay", day("2026-06-01")));
        sync(kay, gus);
        join(kay, max, "Max", CircleKind::path, MemberRole::mentor);
        sync(kay, gus);
        sync(kay, sue);
    }
    // Gus ends the consent; Kay says something under the key that follows.
    void take_back() {
        must(node::give_consent(gus.context, "Kay", std::nullopt));
        sync(gus, kay);
        tick_item(kay, "01.01", "heard the net");
        sync(kay, gus);
        sync(kay, sue);
    }
    // What that node answers whom the machine `fresh` calls with the identity of `who`.
    protocol::ReturnedMessage call(MemberNode& host, MemberNode& who) {
        const auto& machine = fresh.me();
        return must(node::let_back(
            host.context,
            {protocol::certify(who.me().member, machine.device, machine.noise.pub, machine.box.pub, "fresh"), {}}));
    }
    std::size_t keys_given(MemberNode& host, MemberNode& who) {
        const auto answer = call(host, who);
        if (!answer.back) return 0;
        REQUIRE(answer.back->circles.size() == 1);
        return answer.back->circles.front().keys.size() / protocol::AeadKey::size;
    }
    bool counts_as_peer(MemberNode& host) {
        return !must(store::circles_with(host.db(), host.id(), fresh.me().noise.pub)).empty();
    }
};

TEST_CASE("a mentor whose consent was taken back does not come back to that path, whoever of it they call") {
    Path p;
    p.take_back();
    for (MemberNode* host : {&p.kay, &p.gus, &p.sue}) {
        const auto answer = p.call(*host, p.max);
        CHECK_FALSE(answer.back.has_value());
        CHECK(answer.refusal.find("consent") != std::string::npos);
        CHECK_FALSE(p.counts_as_peer(*host));
    }
}

TEST_CASE("the household comes back with every key while there is no consent, and a mentor while there is one") {
    Path p;
    CHECK(p.keys_given(p.kay, p.max) == 1);
    p.take_back();
    CHECK(p.keys_given(p.gus, p.kay) == 2);
    CHECK(p.keys_given(p.kay, p.gus) == 2);
    CHECK(p.keys_given(p.kay, p.sue) == 2);
    must(node::give_consent(p.gus.context, "Kay", day("2026-06-01")));
    CHECK(p.keys_given(p.gus, p.max) == 3);
}

TEST_CASE("any number of circles that nobody asked for leave a mentor the path to come back to") {
    Path p;
    for (std::uint8_t i = 0; i < 2 * protocol::limits::circles_max; ++i) {
        Bytes small(protocol::CircleId::size);
        small.back() = i;
        const auto circle = protocol::CircleId::from(small);
        for (const protocol::MemberId& member : {p.kay.id(), p.max.id()}) {
            must(p.kay.db().run("INSERT INTO member VALUES (?1, ?2, 0, 0, '', 0, 0)", circle, member));
        }
        must(store::remember_welcome(p.kay.db(), circle, {}, p.max.me().noise.pub));
    }
    CHECK(p.keys_given(p.kay, p.max) == 1);
}

TEST_CASE("a mentor who may not come back to a path comes back to the club") {
    Path p;
    MemberNode olive{p.clock, 26};
    begin_as(olive, "Olive", MemberRole::officer, false, "Example Club");
    join(olive, p.max, "Max", CircleKind::club, MemberRole::mentor);
    join(olive, p.kay, "Kay", CircleKind::club, MemberRole::newcomer, true);
    sync(olive, p.kay);
    p.take_back();
    const auto answer = p.call(p.kay, p.max);
    REQUIRE(answer.back.has_value());
    REQUIRE(answer.back->circles.size() == 1);
    CHECK(answer.back->circles.front().circle == olive.circle(CircleKind::club));
}

TEST_CASE("who comes back before the key that follows a new consent reads what is theirs, and is told what waits") {
    Path p;
    p.take_back();
    const protocol::ConsentBody again{p.gus.context.today(), day("2026-06-01"), false};
    must(node::say(p.gus.context, p.path, protocol::kind::consent, protocol::codec::encode(again)));
    must(node::accept_return(p.fresh.context, p.call(p.gus, p.max).back.value()));
    send_circle(p.gus, p.fresh, p.path);
    CHECK(must(node::certify_own_device(p.fresh.context)) == 1);
    send_circle(p.fresh, p.gus, p.path);
    const auto sight = [&] {
        return must(node::sight_of(p.fresh.context, must(node::circle_meant(p.fresh.context, "path", "Kay"))));
    };
    CHECK(sight().people.size() == 4);
    REQUIRE(sight().notes.size() == 1);
    CHECK(sight().notes.front().find("wait for a key") != std::string::npos);
    must(node::settle_circle(p.gus.context, p.path));
    sync(p.gus, p.fresh);
    CHECK(sight().notes.empty());
    const auto kays = must(node::way(p.fresh.context, "Kay"));
    CHECK(domain::state_of(kays.states, must(domain::parse_item_id("01.01"))).phase == domain::Phase::ticked);
}

TEST_CASE("a machine that was reported lost is not let back by the paper key") {
    Path p;
    REQUIRE(p.call(p.kay, p.gus).back.has_value());
    const auto& machine = p.fresh.me();
    const auto certificate =
        protocol::certify(p.gus.me().member, machine.device, machine.noise.pub, machine.box.pub, "fresh");
    must(node::say(p.gus.context, p.path, protocol::kind::certify,
                   protocol::codec::encode(protocol::CertifyBody{certificate})));
    must(node::report_lost(p.gus.context, "fresh", ""));
    sync(p.gus, p.kay);
    const auto answer = p.call(p.kay, p.gus);
    CHECK_FALSE(answer.back.has_value());
    CHECK(answer.refusal.find("reported lost") != std::string::npos);
    CHECK_FALSE(p.counts_as_peer(p.kay));
}

TEST_CASE("the node that let somebody back counts as a peer until the circle shows both of them") {
    Path p;
    must(node::accept_return(p.fresh.context, p.call(p.kay, p.max).back.value()));
    const auto hosts = [&] {
        return must(store::circles_with(p.fresh.db(), p.fresh.id(), p.kay.me().noise.pub)).size();
    };
    CHECK(hosts() == 1);
    const auto heads = must(p.kay.log().heads(p.path));
    for (const protocol::LogHead& head : heads) {
        protocol::Run run = must(p.kay.log().read_run(p.path, head.log, 0));
        if (!run.opening->founding) continue;
        run.events.resize(1);
        must(p.fresh.log().append_run(p.path, run));
    }
    REQUIRE(must(node::circles(p.fresh.context.db)).size() == 1);
    CHECK(hosts() == 1);
    send_circle(p.kay, p.fresh, p.path);
    CHECK(hosts() == 1);
}

}  // namespace
}  // namespace ladderline
