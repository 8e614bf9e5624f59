// What a node does with peers who are slow, loud, too big, half there, repeating or cut off. After each of them an
// honest member syncs as if nothing had been.

#include "tests/support/node/hostile_peer.hpp"

#include <doctest/doctest.h>

#include "node/commands/circles.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleKind;
using protocol::MemberRole;

namespace {

// Olive's club; Max is a member whose keys the hostile peer holds, Ada an honest one.
class Club : public Loopback {
public:
    Club() {
        begin_as(olive.member, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max.member, "Max", MemberRole::mentor);
        begin_as(ada.member, "Ada", MemberRole::mentor);
        join(olive.member, max.member, "Max", CircleKind::club, MemberRole::mentor);
        join(olive.member, ada.member, "Ada", CircleKind::club, MemberRole::mentor);
        club = olive.member.circle(CircleKind::club);
        olive.start();
        events = olive.member.events();
    }

    void shake_hands(HostilePeer& peer) {
        peer.shake_hands(max.member.me(), olive.member.me().noise.pub);
        REQUIRE(peer.is_through());
    }
    // Ada still gets through, and Olive's store holds what it held.
    void check_unharmed() {
        CHECK(olive.member.events() == events);
        must(store::remember_address(ada.member.db(), olive.member.me().device_id(), olive.address()));
        ada.start();
        CHECK(until([&] { return hold_the_same(olive, ada, club) && ada.network->links_in_step() > 0; }));
    }

    NetNode olive{io, clock, 1};
    NetNode max{io, clock, 2};
    NetNode ada{io, clock, 3};
    protocol::CircleId club;
    std::int64_t events = 0;
};

// The first words of Max's device.
Bytes first_words(Club& c) {
    SeededRandom random(9);
    protocol::InitiatorSetup setup;
    setup.local_static = {c.max.member.me().noise.pub, c.max.member.me().noise.secret.clone()};
    setup.remote_static = c.olive.member.me().noise.pub;
    return protocol::Connection::initiate(std::move(setup), random, {0}).next_output();
}

}  // namespace

TEST_CASE("slow: a caller who sends a byte a second is cut after ten") {
    Club c;
    const Bytes words = first_words(c);
    HostilePeer peer(c, c.olive.port);
    std::size_t sent = 0;
    while (sent < words.size() && !peer.ended()) {
        peer.throw_bytes(ByteView(words).subspan(sent, 1));
        ++sent;
        for (int step = 0; step < 4; ++step) c.run_step();
        c.clock.now.ms += 1000;
    }
    CHECK(sent < 16);
    c.check_unharmed();
}

TEST_CASE("truncating: a conversation cut at any byte leaves nothing behind") {
    Club c;
    const Bytes words = first_words(c);
    for (std::size_t cut = 0; cut <= words.size(); cut += 7) {
        HostilePeer peer(c, c.olive.port);
        peer.throw_bytes(ByteView(words).first(cut));
        for (int step = 0; step < 8; ++step) c.run_step();
    }
    c.check_unharmed();
}

TEST_CASE("replaying: the first words of another conversation get an answer that leads nowhere") {
    Club c;
    const Bytes words = first_words(c);
    for (int time = 0; time < 3; ++time) {
        HostilePeer peer(c, c.olive.port);
        peer.throw_bytes(words);
        REQUIRE(c.until([&] { return !peer.ended() && !peer.wire().empty(); }));
        peer.throw_bytes(words);  // all that it has
        for (int step = 0; step < 8; ++step) c.run_step();
        CHECK(c.olive.network->links() == 0);
        c.clock.now.ms += protocol::handshake_wait_ms_max;
        peer.throw_bytes(words);
        CHECK(peer.is_hung_up_on());
    }
    c.check_unharmed();
}

TEST_CASE("replaying: whoever repeats a member's first words does not push that member off the line") {
    Club c;
    const Bytes words = first_words(c);
    must(store::remember_address(c.max.member.db(), c.olive.member.me().device_id(), c.olive.address()));
    c.max.start();
    REQUIRE(c.until([&] { return c.olive.network->links_in_step() == 1; }));
    HostilePeer peer(c, c.olive.port);
    peer.throw_bytes(words);
    REQUIRE(c.until([&] { return !peer.ended() && !peer.wire().empty(); }));
    for (int step = 0; step < 50; ++step) c.run_step();
    CHECK(c.olive.network->links_in_step() == 1);
    CHECK(c.max.network->links_in_step() == 1);
}

TEST_CASE("half-open: whoever knows a member's id and says nothing behind the handshake is cut after ten seconds") {
    Club c;
    HostilePeer peer(c, c.olive.port);
    peer.shake_hands_as_returning(c.max.member.me(), c.ada.member.id());
    REQUIRE(peer.is_through());
    for (int step = 0; step < 8; ++step) c.run_step();
    REQUIRE_FALSE(peer.ended());
    c.clock.now.ms += protocol::handshake_wait_ms_max;
    peer.throw_bytes(Bytes{0});  // less than a frame, so that it is no answer by itself
    CHECK(peer.is_hung_up_on());
    c.check_unharmed();
}

TEST_CASE("oversize: a message longer than the limit ends the connection before it has come") {
    Club c;
    HostilePeer peer(c, c.olive.port);
    c.shake_hands(peer);
    const Bytes big(protocol::limits::message_bytes_max, 3);
    std::size_t said = 0;
    while (said < 64 && peer.say(big)) ++said;
    CHECK(peer.is_hung_up_on());
    CHECK(said < 64);
    c.check_unharmed();
}

TEST_CASE("oversize: frames of noise after the handshake end the connection") {
    Club c;
    HostilePeer peer(c, c.olive.port);
    c.shake_hands(peer);
    Bytes frame(65'537, 0x5a);
    frame[0] = 0xff;
    frame[1] = 0xff;
    peer.throw_bytes(frame);
    CHECK(peer.is_hung_up_on());
    c.check_unharmed();
}

TEST_CASE("flooding: a member who repeats themself without end is hung up on") {
    Club c;
    HostilePeer peer(c, c.olive.port);
    c.shake_hands(peer);
    const Bytes again{15, 0};  // "compare anew", of a circle that was not agreed
    std::size_t said = 0;
    while (said < 10'000 && peer.say(again)) {
        c.run_step();
        ++said;
    }
    CHECK(peer.is_hung_up_on());
    CHECK(said < 10'000);
    c.check_unharmed();
}

TEST_CASE("flooding: every type of message, empty, out of turn, ends the session") {
    Club c;
    for (int type = 0; type < 70; ++type) {
        HostilePeer peer(c, c.olive.port);
        c.shake_hands(peer);
        peer.say(Bytes{static_cast<std::uint8_t>(type)});
        peer.say(Bytes{static_cast<std::uint8_t>(type), 0});
        CAPTURE(type);
        CHECK(peer.is_hung_up_on());
    }
    c.check_unharmed();
}
