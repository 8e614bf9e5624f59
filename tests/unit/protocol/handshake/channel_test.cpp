#include "protocol/handshake/channel.hpp"

#include <doctest/doctest.h>
#include <sodium.h>

#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::test {
namespace {

struct Channels {
    Channels() : Channels(transport_ciphers()) {}
    explicit Channels(std::pair<TransportCiphers, TransportCiphers> ciphers)
        : a(std::move(ciphers.first)), b(std::move(ciphers.second)) {}

    SecureChannel a;
    SecureChannel b;
};

std::vector<Bytes> frames_of(SecureChannel& channel) {
    std::vector<Bytes> out;
    while (auto frame = channel.next_frame()) out.push_back(std::move(*frame));
    return out;
}

Bytes two_frames(SecureChannel& channel) {
    Bytes out = channel.seal_frame(as_bytes("first")).value();
    const Bytes second = channel.seal_frame(as_bytes("second")).value();
    out.insert(out.end(), second.begin(), second.end());
    return out;
}

const std::vector<Bytes> both_frames{to_bytes(as_bytes("first")), to_bytes(as_bytes("second"))};

TEST_CASE("a frame is a big-endian length and 16 bytes more than its text") {
    Channels channels;
    const Bytes frame = channels.a.seal_frame(Bytes(300)).value();
    CHECK(frame.size() == 2 + 300 + 16);
    CHECK(frame[0] == 316 / 256);
    CHECK(frame[1] == 316 % 256);
}

TEST_CASE("frames that arrive byte by byte open one by one") {
    Channels channels;
    const Bytes bytes = two_frames(channels.a);
    for (const std::uint8_t& b : bytes) REQUIRE(channels.b.on_bytes({&b, 1}).has_value());
    CHECK(frames_of(channels.b) == both_frames);
}

TEST_CASE("frames cut in two at any byte open all the same") {
    for (std::size_t cut = 0; cut <= 2 * 18 + 11; ++cut) {
        CAPTURE(cut);
        Channels channels;
        const Bytes bytes = two_frames(channels.a);
        REQUIRE(channels.b.on_bytes(ByteView(bytes).first(cut)).has_value());
        REQUIRE(channels.b.on_bytes(ByteView(bytes).subspan(cut)).has_value());
        CHECK(frames_of(channels.b) == both_frames);
    }
}

TEST_CASE("a frame with any byte changed gives no text, and the stream does not end well") {
    for (std::size_t at = 0; at < 18 + 5; ++at) {
        for (const std::uint8_t with : {std::uint8_t{1}, std::uint8_t{0x80}}) {
            CAPTURE(at);
            CAPTURE(with);
            Channels channels;
            Bytes bytes = channels.a.seal_frame(as_bytes("first")).value();
            bytes[at] ^= with;
            // A length that grew only makes the reader wait; the end of the stream then shows it.
            auto result = channels.b.on_bytes(bytes);
            if (result) result = channels.b.on_end();
            CHECK(result.error().fault() == Fault::peer);
            CHECK(frames_of(channels.b).empty());
        }
    }
}

TEST_CASE("a channel is dead after a bad frame, and what opened before stays readable") {
    Channels channels;
    Bytes bytes = two_frames(channels.a);
    const Bytes good = channels.a.seal_frame(as_bytes("third")).value();
    bytes.back() ^= 1;
    CHECK(channels.b.on_bytes(bytes).error().fault() == Fault::peer);
    CHECK(channels.b.dead());
    CHECK(channels.b.on_bytes(good).error().fault() == Fault::refused);
    CHECK(channels.b.seal_frame(as_bytes("answer")).error().fault() == Fault::refused);
    CHECK(frames_of(channels.b) == std::vector<Bytes>{both_frames[0]});
}

TEST_CASE("a length that no frame can have is refused before the frame has arrived") {
    for (std::uint8_t size = 0; size < 16; ++size) {
        CAPTURE(size);
        Channels channels;
        CHECK(channels.b.on_bytes(Bytes{0, size}).error().fault() == Fault::peer);
    }
}

TEST_CASE("a stream that ends inside a frame is an error at every cut but the clean one") {
    for (std::size_t cut = 0; cut <= 18 + 5; ++cut) {
        CAPTURE(cut);
        Channels channels;
        const Bytes bytes = channels.a.seal_frame(as_bytes("first")).value();
        REQUIRE(channels.b.on_bytes(ByteView(bytes).first(cut)).has_value());
        CHECK(channels.b.on_end().has_value() == (cut == 0 || cut == bytes.size()));
    }
}

TEST_CASE("a frame that comes a second time, or out of turn, does not open") {
    Channels channels;
    const Bytes first = channels.a.seal_frame(as_bytes("first")).value();
    const Bytes second = channels.a.seal_frame(as_bytes("second")).value();
    CHECK_FALSE(channels.b.on_bytes(second).has_value());
    Channels again;
    REQUIRE(again.b.on_bytes(again.a.seal_frame(as_bytes("first")).value()).has_value());
    CHECK_FALSE(again.b.on_bytes(first).has_value());
}

TEST_CASE("garbage of any seed never opens") {
    for (std::uint64_t seed = 0; seed < 200; ++seed) {
        CAPTURE(seed);
        Channels channels;
        SeededRandom random(seed);
        Bytes garbage(70'000);
        random.fill(garbage);
        CHECK(channels.b.on_bytes(garbage).error().fault() == Fault::peer);
        CHECK(frames_of(channels.b).empty());
    }
}

TEST_CASE("the longest frame passes") {
    Channels channels;
    const Bytes bytes = channels.a.seal_frame(Bytes(frame_plain_bytes_max, 7)).value();
    CHECK(bytes.size() == 2 + 65535);
    REQUIRE(channels.b.on_bytes(bytes).has_value());
    CHECK(frames_of(channels.b) == std::vector<Bytes>{Bytes(frame_plain_bytes_max, 7)});
}

// A second computation of what goes over the wire, on libsodium alone: counter and key of one direction.
class PlainSender {
public:
    explicit PlainSender(Bytes key) : key_(std::move(key)) {}

    Bytes frame(ByteView plain) {
        Bytes out(2 + plain.size() + 16);
        out[0] = static_cast<std::uint8_t>((plain.size() + 16) / 256);
        out[1] = static_cast<std::uint8_t>((plain.size() + 16) % 256);
        crypto_aead_chacha20poly1305_ietf_encrypt(out.data() + 2, nullptr, plain.data(), plain.size(), nullptr, 0,
                                                  nullptr, nonce(sent_).data(), key_.data());
        ++sent_;
        // Noise revision 34, section 4.2, by the key stream instead of by sealing zeros.
        if (sent_ % 65536 == 0) {
            Bytes next(32);
            crypto_stream_chacha20_ietf_xor_ic(next.data(), next.data(), next.size(), nonce(UINT64_MAX).data(), 1,
                                               key_.data());
            key_ = next;
        }
        return out;
    }

private:
    static Bytes nonce(std::uint64_t counter) {
        Bytes out(12);
        for (std::size_t i = 0; i < 8; ++i) out[4 + i] = static_cast<std::uint8_t>(counter >> (8 * i));
        return out;
    }

    Bytes key_;
    std::uint64_t sent_ = 0;
};

TEST_CASE("each direction changes its key after 65,536 frames, as a second computation says, and the counter goes on") {
    const Bytes key_send(32, 0x51);
    const Bytes key_receive(32, 0x52);
    SecureChannel a({CipherState(key_send), CipherState(key_receive)});
    SecureChannel b({CipherState(key_receive), CipherState(key_send)});
    PlainSender expected(key_send);
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < 2 * 65536 + 3; ++i) {
        const std::array<std::uint8_t, 3> plain{static_cast<std::uint8_t>(i), static_cast<std::uint8_t>(i >> 8),
                                                static_cast<std::uint8_t>(i >> 16)};
        const Bytes frame = a.seal_frame(plain).value();
        const bool opened = b.on_bytes(frame).has_value() && b.next_frame() == to_bytes(plain);
        if (!opened || frame != expected.frame(plain)) ++wrong;
    }
    CHECK(wrong == 0);
    // The other direction has sent nothing, so its key is still the first one.
    CHECK(b.seal_frame(as_bytes("r")).value() == PlainSender(key_receive).frame(as_bytes("r")));
}

}  // namespace
}  // namespace ladderline::test
