#include "protocol/handshake/noise.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::test {
namespace {

constexpr std::array<std::string_view, 3> patterns{"IK", "XX", "XXpsk0"};

// Brings both sides to where message `index` (from 0) is the next one.
void advance_to(HandshakePair& pair, std::size_t index) {
    for (std::size_t i = 0; i < index; ++i) {
        NoiseHandshake& reader = pair.reader();
        REQUIRE(reader.read_message(pair.writer().write_message({}).value()).has_value());
    }
}

// Carries on from a message that has been read; the fault of the first read that fails, or nothing.
std::optional<Fault> finish(HandshakePair& pair) {
    while (!pair.init.finished() || !pair.resp.finished()) {
        NoiseHandshake& writer = pair.writer();
        NoiseHandshake& reader = pair.reader();
        const auto read = reader.read_message(writer.write_message({}).value());
        if (!read) return read.error().fault();
    }
    return std::nullopt;
}

TEST_CASE("both sides end with the same hash and each other's static key") {
    for (const std::string_view name : patterns) {
        CAPTURE(name);
        HandshakePair pair(name);
        CHECK_FALSE(finish(pair).has_value());
        CHECK(pair.init.handshake_hash() == pair.resp.handshake_hash());
        CHECK(pair.init.handshake_hash().size() == HandshakeHash::size);
        CHECK(pair.init.remote_static() == dh_keys(2).pub);
        CHECK(pair.resp.remote_static() == dh_keys(1).pub);
    }
}

TEST_CASE("the length of an empty handshake message is known before it is written or read") {
    struct Row {
        std::string_view pattern;
        std::vector<std::size_t> bytes;
    };
    const Row rows[] = {{"IK", {96, 48}}, {"XX", {32, 96, 64}}, {"XXpsk0", {48, 96, 64}}, {"NN", {32, 48}}};
    for (const Row& row : rows) {
        CAPTURE(row.pattern);
        HandshakePair pair(row.pattern);
        for (const std::size_t bytes : row.bytes) {
            CHECK(pair.init.next_message_bytes_min() == bytes);
            CHECK(pair.resp.next_message_bytes_min() == bytes);
            NoiseHandshake& reader = pair.reader();
            const Bytes message = pair.writer().write_message({}).value();
            CHECK(message.size() == bytes);
            REQUIRE(reader.read_message(message).has_value());
        }
    }
}

TEST_CASE("a handshake message cut at any byte is refused") {
    for (const std::string_view name : patterns) {
        for (std::size_t index = 0; index < noise_pattern(name)->messages.size(); ++index) {
            HandshakePair whole(name);
            advance_to(whole, index);
            const Bytes message = whole.writer().write_message({}).value();
            for (std::size_t size = 0; size < message.size(); ++size) {
                CAPTURE(name);
                CAPTURE(index);
                CAPTURE(size);
                HandshakePair pair(name);
                advance_to(pair, index);
                CHECK(pair.reader().read_message(ByteView(message).first(size)).error().fault() == Fault::peer);
            }
        }
    }
}

TEST_CASE("a handshake message with any byte changed never leads to a finished handshake") {
    for (const std::string_view name : patterns) {
        for (std::size_t index = 0; index < noise_pattern(name)->messages.size(); ++index) {
            HandshakePair sizes(name);
            advance_to(sizes, index);
            const std::size_t size = sizes.init.next_message_bytes_min();
            for (std::size_t at = 0; at < size; ++at) {
                CAPTURE(name);
                CAPTURE(index);
                CAPTURE(at);
                HandshakePair pair(name);
                advance_to(pair, index);
                NoiseHandshake& reader = pair.reader();
                Bytes message = pair.writer().write_message({}).value();
                message[at] ^= 0x80;
                const auto read = reader.read_message(message);
                CHECK((read ? finish(pair) : std::optional(read.error().fault())) == Fault::peer);
            }
        }
    }
}

TEST_CASE("a byte too many in a sealed message is refused") {
    HandshakePair pair("IK");
    Bytes message = pair.init.write_message({}).value();
    message.push_back(0);
    CHECK(pair.resp.read_message(message).error().fault() == Fault::peer);
}

TEST_CASE("a caller with another invite secret is refused at its first message") {
    NoiseSetup init = noise_setup_of("XXpsk0", Role::initiator);
    init.psks[0] = psk_of(99);
    HandshakePair pair(std::move(init), noise_setup_of("XXpsk0", Role::responder));
    CHECK(pair.resp.read_message(pair.init.write_message({}).value()).error().fault() == Fault::peer);
}

TEST_CASE("a caller who expects another static key is refused at its first message, and stays unknown") {
    NoiseSetup init = noise_setup_of("IK", Role::initiator);
    init.remote_static = dh_keys(98).pub;
    HandshakePair pair(std::move(init), noise_setup_of("IK", Role::responder));
    CHECK(pair.resp.read_message(pair.init.write_message({}).value()).error().fault() == Fault::peer);
    CHECK_FALSE(pair.resp.remote_static_known());
}

TEST_CASE("a caller whose message 1 is right but whose payload was changed stays unknown") {
    HandshakePair pair("IK");
    Bytes message = pair.init.write_message({}).value();
    message.back() ^= 1;
    CHECK_FALSE(pair.resp.read_message(message).has_value());
    CHECK_FALSE(pair.resp.remote_static_known());
}

TEST_CASE("two sides that agreed on different things beforehand do not finish") {
    for (const std::string_view name : patterns) {
        CAPTURE(name);
        NoiseSetup init = noise_setup_of(name, Role::initiator);
        init.prologue.push_back('x');
        HandshakePair pair(std::move(init), noise_setup_of(name, Role::responder));
        CHECK(finish(pair) == Fault::peer);
    }
}

TEST_CASE("an ephemeral key of small order is refused because its secret is all zero") {
    HandshakePair pair("IK");
    CHECK(pair.resp.read_message(Bytes(96)).error().fault() == Fault::peer);
}

TEST_CASE("after an error a handshake stays dead, also for the right message") {
    HandshakePair pair("IK");
    const Bytes message = pair.init.write_message({}).value();
    CHECK_FALSE(pair.resp.read_message(Bytes(96, 7)).has_value());
    CHECK(pair.resp.read_message(message).error().fault() == Fault::refused);
    CHECK_FALSE(pair.resp.finished());
}

TEST_CASE("a payload that does not fit one Noise message is refused before anything is written") {
    HandshakePair pair("IK");
    CHECK(pair.init.write_message(Bytes(noise_message_bytes_max - 95)).error().fault() == Fault::refused);
    const auto fits = pair.init.write_message(Bytes(noise_message_bytes_max - 96));
    REQUIRE(fits.has_value());
    CHECK(fits.value().size() == noise_message_bytes_max);
}

TEST_CASE("payloads of every handshake message arrive as they were written") {
    for (const std::string_view name : patterns) {
        HandshakePair pair(name);
        while (!pair.init.finished()) {
            CAPTURE(name);
            NoiseHandshake& reader = pair.reader();
            const Bytes message = pair.writer().write_message(as_bytes("payload")).value();
            CHECK(reader.read_message(message).value() == to_bytes(as_bytes("payload")));
        }
    }
}

TEST_CASE("what one side sends after the split the other side receives, and not the other way round") {
    auto [init, resp] = transport_ciphers();
    const Bytes sealed = init.send.encrypt({}, as_bytes("cq")).value();
    CHECK_FALSE(resp.send.decrypt({}, sealed).has_value());
    CHECK(resp.receive.decrypt({}, sealed).value() == to_bytes(as_bytes("cq")));
}

}  // namespace
}  // namespace ladderline::test
