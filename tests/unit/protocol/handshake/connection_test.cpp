#include "protocol/handshake/connection.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::test {
namespace {

constexpr std::array<WirePattern, 3> patterns{WirePattern::ik, WirePattern::xx, WirePattern::xx_psk0};

TEST_CASE("two sides that fit are established with one hash and each other's key") {
    for (const WirePattern pattern : patterns) {
        CAPTURE(noise_name(pattern));
        ConnectionPair pair(pattern);
        pair.run();
        REQUIRE(pair.init.established());
        REQUIRE(pair.resp.established());
        CHECK(pair.init.handshake_hash() == pair.resp.handshake_hash());
        CHECK(pair.init.remote_static() == dh_keys(2).pub);
        CHECK(pair.resp.remote_static() == dh_keys(1).pub);
        CHECK(pair.resp.pattern() == pattern);
        CHECK_FALSE(pair.init.deadline().has_value());
        CHECK_FALSE(pair.resp.deadline().has_value());
    }
}

TEST_CASE("a greeting costs the bytes that the message lengths say") {
    struct Row {
        WirePattern pattern;
        std::size_t bytes;
    };
    const Row rows[] = {{WirePattern::ik, 24 + 148}, {WirePattern::xx, 24 + 198}, {WirePattern::xx_psk0, 24 + 214}};
    for (const Row& row : rows) {
        CAPTURE(noise_name(row.pattern));
        ConnectionPair pair(row.pattern);
        pair.run();
        CHECK(pair.carried == row.bytes);
    }
}

TEST_CASE("everything works the same when bytes arrive one at a time") {
    for (const WirePattern pattern : patterns) {
        CAPTURE(noise_name(pattern));
        ConnectionPair pair(pattern);
        pair.run(1);
        REQUIRE(pair.init.established());
        REQUIRE(pair.resp.established());
        REQUIRE(pair.init.send(as_bytes("hello")).has_value());
        REQUIRE(pair.resp.send(Bytes(70'000, 9)).has_value());
        pair.run(1);
        CHECK(pair.resp.next_message() == to_bytes(as_bytes("hello")));
        CHECK(pair.init.next_message() == Bytes(70'000, 9));
    }
}

TEST_CASE("the invite id reaches the responder") {
    ConnectionPair pair(WirePattern::xx_psk0);
    pair.run();
    CHECK(pair.resp.invite() == invite_of(4));
}

TEST_CASE("the responder's payload comes with ik message 2") {
    ConnectionPair pair(WirePattern::ik);
    pair.accept_payload = to_bytes(as_bytes("root"));
    pair.run();
    CHECK(pair.init.take_handshake_payload() == to_bytes(as_bytes("root")));
    CHECK(pair.init.take_handshake_payload().empty());
}

TEST_CASE("the initiator's payload comes with xx message 3, up to its bound") {
    for (const WirePattern pattern : {WirePattern::xx, WirePattern::xx_psk0}) {
        InitiatorSetup setup = initiator_setup(pattern);
        setup.payload = Bytes(handshake_payload_bytes_max, 3);
        ConnectionPair pair(std::move(setup), responder_setup());
        pair.run();
        REQUIRE(pair.resp.established());
        CHECK(pair.resp.take_handshake_payload() == Bytes(handshake_payload_bytes_max, 3));
    }
}

TEST_CASE("message 3 and the first messages may arrive in one piece") {
    ConnectionPair pair(WirePattern::xx);
    REQUIRE(pair.resp.on_bytes(pair.init.next_output(), pair.now).has_value());
    REQUIRE(pair.init.on_bytes(pair.resp.next_output(), pair.now).has_value());
    REQUIRE(pair.init.send(as_bytes("one")).has_value());
    REQUIRE(pair.init.send(as_bytes("two")).has_value());
    REQUIRE(pair.resp.on_bytes(pair.init.next_output(), pair.now).has_value());
    CHECK(pair.resp.next_message() == to_bytes(as_bytes("one")));
    CHECK(pair.resp.next_message() == to_bytes(as_bytes("two")));
}

TEST_CASE("an ik caller is known and unanswered until the owner decides") {
    ConnectionPair pair(WirePattern::ik);
    REQUIRE(pair.resp.on_bytes(pair.init.next_output(), pair.now).has_value());
    REQUIRE(pair.resp.awaiting_decision());
    CHECK(pair.resp.remote_static() == dh_keys(1).pub);
    CHECK(pair.resp.next_output().empty());
    CHECK(pair.resp.deadline() == pair.now + handshake_wait_ms_max);
}

TEST_CASE("a caller who is turned away hears nothing") {
    ConnectionPair pair(WirePattern::ik);
    REQUIRE(pair.resp.on_bytes(pair.init.next_output(), pair.now).has_value());
    pair.resp.refuse();
    CHECK(fault_of(pair.resp) == Fault::refused);
    CHECK(pair.resp.next_output().empty());
}

TEST_CASE("a caller who goes on before he is answered is cut off") {
    ConnectionPair pair(WirePattern::ik);
    Bytes bytes = pair.init.next_output();
    bytes.push_back(0);
    CHECK(pair.resp.on_bytes(bytes, pair.now).error().fault() == Fault::peer);
    CHECK(pair.resp.next_output().empty());
}

TEST_CASE("an invite that is not open here, or a secret that is not its own, is not answered") {
    InitiatorSetup unknown = initiator_setup(WirePattern::xx_psk0);
    unknown.invite = invite_of(77);
    ConnectionPair pair(std::move(unknown), responder_setup());
    CHECK(pair.resp.on_bytes(pair.init.next_output(), pair.now).error().fault() == Fault::refused);
    CHECK(pair.resp.next_output().empty());

    InitiatorSetup wrong = initiator_setup(WirePattern::xx_psk0);
    wrong.psk = psk_of(77);
    ConnectionPair other(std::move(wrong), responder_setup());
    CHECK(other.resp.on_bytes(other.init.next_output(), other.now).error().fault() == Fault::peer);
    CHECK(other.resp.next_output().empty());
}

TEST_CASE("a kind of contact that is switched off is refused before anything is computed") {
    for (const WirePattern pattern : patterns) {
        CAPTURE(noise_name(pattern));
        ResponderSetup closed = responder_setup();
        closed.allow_ik = closed.allow_xx = false;
        closed.find_psk = nullptr;
        ConnectionPair pair(initiator_setup(pattern), std::move(closed));
        CHECK(pair.resp.on_bytes(pair.init.next_output(), pair.now).error().fault() == Fault::refused);
        CHECK(pair.resp.next_output().empty());
    }
}

TEST_CASE("a caller who expects another key is not answered") {
    InitiatorSetup setup = initiator_setup(WirePattern::ik);
    setup.remote_static = dh_keys(98).pub;
    ConnectionPair pair(std::move(setup), responder_setup());
    CHECK(pair.resp.on_bytes(pair.init.next_output(), pair.now).error().fault() == Fault::peer);
    CHECK(pair.resp.next_output().empty());
}

TEST_CASE("a remote key of small order makes a connection that is dead from the start") {
    InitiatorSetup setup = initiator_setup(WirePattern::ik);
    setup.remote_static = DhPublic{};
    ConnectionPair pair(std::move(setup), responder_setup());
    CHECK(fault_of(pair.init) == Fault::peer);
    CHECK(pair.init.next_output().empty());
}

TEST_CASE("another wire version is said to be unsupported at its own byte") {
    ConnectionPair pair(WirePattern::ik);
    Bytes bytes = pair.init.next_output();
    bytes[6] = 2;
    CHECK(pair.resp.on_bytes(ByteView(bytes).first(7), pair.now).error().fault() == Fault::unsupported);
}

TEST_CASE("a payload in message 1 or in xx message 2 is refused by its length alone") {
    struct Row {
        WirePattern pattern;
        std::size_t message_1_bytes;
    };
    const Row rows[] = {{WirePattern::ik, 97}, {WirePattern::xx, 33}, {WirePattern::xx_psk0, 49}};
    for (const Row& row : rows) {
        CAPTURE(noise_name(row.pattern));
        ConnectionPair pair(row.pattern);
        Bytes bytes = to_bytes(ByteView(pair.init.next_output()).first(preface_bytes));
        bytes.push_back(0);
        bytes.push_back(static_cast<std::uint8_t>(row.message_1_bytes));
        CHECK(pair.resp.on_bytes(bytes, pair.now).error().fault() == Fault::peer);
    }
    ConnectionPair xx(WirePattern::xx);
    CHECK(xx.init.on_bytes(Bytes{0, 97}, xx.now).error().fault() == Fault::peer);
}

TEST_CASE("a greeting that is not finished in ten seconds ends, whoever is slow and whatever arrives then") {
    ConnectionPair pair(WirePattern::ik);
    const MonoTime end = pair.now + handshake_wait_ms_max;
    CHECK(pair.init.deadline() == end);
    CHECK(pair.resp.deadline() == end);
    CHECK(pair.init.on_deadline({end.ms - 1}).has_value());
    CHECK(pair.init.on_deadline(end).error().fault() == Fault::network);
    CHECK(pair.resp.on_bytes(write_preface({WirePattern::ik, {}}), end).error().fault() == Fault::network);
    CHECK_FALSE(pair.resp.deadline().has_value());
}

TEST_CASE("an established connection has no deadline") {
    ConnectionPair pair(WirePattern::xx);
    pair.run();
    CHECK(pair.init.on_deadline({pair.now.ms + 1'000'000}).has_value());
    CHECK(pair.init.established());
}

TEST_CASE("a greeting cut at any byte is never established and ends as a network failure") {
    for (const WirePattern pattern : patterns) {
        ConnectionPair whole(pattern);
        const Bytes bytes = whole.init.next_output();
        for (std::size_t cut = 0; cut < bytes.size(); ++cut) {
            CAPTURE(noise_name(pattern));
            CAPTURE(cut);
            ConnectionPair pair(pattern);
            REQUIRE(pair.resp.on_bytes(ByteView(bytes).first(cut), pair.now).has_value());
            CHECK(pair.resp.next_output().empty());
            CHECK(pair.resp.on_end().error().fault() == Fault::network);
        }
    }
}

TEST_CASE("with any byte of the greeting changed on the way the two sides are never both established") {
    for (const WirePattern pattern : patterns) {
        ConnectionPair whole(pattern);
        whole.run();
        for (std::size_t at = 0; at < whole.carried; ++at) {
            for (const std::uint8_t with : {std::uint8_t{1}, std::uint8_t{3}, std::uint8_t{0x80}}) {
                CAPTURE(noise_name(pattern));
                CAPTURE(at);
                CAPTURE(with);
                ConnectionPair pair(pattern);
                pair.flip_at = at;
                pair.flip_with = with;
                pair.run();
                CHECK_FALSE((pair.init.established() && pair.resp.established()));
            }
        }
    }
}

TEST_CASE("a changed byte after the greeting kills the connection and no message comes of it") {
    for (std::size_t at = 0; at < 2 + 4 + 5 + 16; ++at) {
        CAPTURE(at);
        ConnectionPair pair(WirePattern::ik);
        pair.run();
        pair.flip_at = pair.carried + at;
        REQUIRE(pair.init.send(as_bytes("hello")).has_value());
        pair.run();
        if (!pair.resp.failed()) CHECK_FALSE(pair.resp.on_end().has_value());  // a longer length: it waits for more
        CHECK(fault_of(pair.resp) == Fault::peer);
        CHECK_FALSE(pair.resp.next_message().has_value());
    }
}

TEST_CASE("messages that came before a bad frame stay readable, and the error stays the same") {
    ConnectionPair pair(WirePattern::ik);
    pair.run();
    REQUIRE(pair.init.send(as_bytes("good")).has_value());
    Bytes bytes = pair.init.next_output();
    bytes.resize(bytes.size() + 40);
    CHECK(pair.resp.on_bytes(bytes, pair.now).error().fault() == Fault::peer);
    CHECK(pair.resp.next_message() == to_bytes(as_bytes("good")));
    CHECK(pair.resp.on_bytes({}, pair.now).error().fault() == Fault::peer);
    CHECK(pair.resp.send(as_bytes("x")).error().fault() == Fault::peer);
    CHECK(pair.resp.remote_static() == dh_keys(1).pub);
}

TEST_CASE("a message above the receiver's bound ends the connection") {
    ResponderSetup small = responder_setup();
    small.message_bytes_max = 100;
    ConnectionPair pair(initiator_setup(WirePattern::ik), std::move(small));
    pair.run();
    REQUIRE(pair.init.send(Bytes(101)).has_value());
    pair.run();
    CHECK(fault_of(pair.resp) == Fault::peer);
    CHECK_FALSE(pair.resp.next_message().has_value());
}

TEST_CASE("the end of a stream is clean only between messages") {
    ConnectionPair clean(WirePattern::ik);
    clean.run();
    CHECK(clean.resp.on_end().has_value());

    ConnectionPair inside(WirePattern::ik);
    inside.run();
    REQUIRE(inside.init.send(Bytes(70'000)).has_value());
    const Bytes bytes = inside.init.next_output();
    const std::size_t first_frame_bytes = 2 + 65535;
    REQUIRE(inside.resp.on_bytes(ByteView(bytes).first(first_frame_bytes), inside.now).has_value());
    CHECK(inside.resp.on_end().error().fault() == Fault::peer);
}

TEST_CASE("nothing can be sent before the greeting is finished") {
    ConnectionPair pair(WirePattern::xx);
    CHECK(pair.init.send(as_bytes("early")).error().fault() == Fault::refused);
    CHECK_FALSE(pair.init.failed());
}

TEST_CASE("the same seeds give the same bytes") {
    ConnectionPair one(WirePattern::xx);
    ConnectionPair two(WirePattern::xx);
    CHECK(one.init.next_output() == two.init.next_output());
}

}  // namespace
}  // namespace ladderline::test
