#include "protocol/handshake/message_stream.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::test {
namespace {

Bytes with_length(std::uint32_t announced, std::size_t body_bytes) {
    Bytes out;
    for (int shift = 0; shift < 32; shift += 8) out.push_back(static_cast<std::uint8_t>(announced >> shift));
    out.resize(4 + body_bytes, 0x5a);
    return out;
}

TEST_CASE("a message of any size up to the bound arrives whole, in as few frames as it needs") {
    struct Row {
        std::size_t bytes;
        std::size_t frames;
    };
    const Row rows[] = {{0, 1}, {1, 1}, {65515, 1}, {65516, 2}, {131034, 2}, {131035, 3}, {1024 * 1024, 17}};
    for (const Row& row : rows) {
        CAPTURE(row.bytes);
        auto [init, resp] = transport_ciphers();
        SecureChannel sender(std::move(init));
        SecureChannel receiver(std::move(resp));
        MessageReader reader;
        SeededRandom random(row.bytes);
        Bytes message(row.bytes);
        random.fill(message);
        Bytes stream;
        put_message(stream, message);
        const Bytes wire = seal_plain(sender, stream).value();
        CHECK(wire.size() == row.frames * 18 + 4 + row.bytes);
        REQUIRE(receiver.on_bytes(wire).has_value());
        while (const auto plain = receiver.next_frame()) REQUIRE(reader.on_plain(*plain).has_value());
        CHECK(reader.next() == message);
        CHECK_FALSE(reader.inside_message());
    }
}

TEST_CASE("a length above the bound is refused when its fourth byte is here, before any of the message") {
    MessageReader reader(1000);
    const Bytes announced = with_length(1001, 0);
    REQUIRE(reader.on_plain(ByteView(announced).first(3)).has_value());
    CHECK(reader.on_plain(ByteView(announced).last(1)).error().fault() == Fault::peer);
    CHECK(reader.on_plain(with_length(1, 1)).error().fault() == Fault::refused);
    CHECK_FALSE(reader.next().has_value());
}

TEST_CASE("a message of exactly the bound is taken") {
    MessageReader reader(1000);
    REQUIRE(reader.on_plain(with_length(1000, 1000)).has_value());
    CHECK(reader.next() == Bytes(1000, 0x5a));
}

TEST_CASE("three messages in one piece, or cut at any byte, come out as three") {
    Bytes all = with_length(2, 2);
    for (const Bytes& more : {with_length(0, 0), with_length(5, 5)}) all.insert(all.end(), more.begin(), more.end());
    for (std::size_t cut = 0; cut <= all.size(); ++cut) {
        CAPTURE(cut);
        MessageReader reader;
        REQUIRE(reader.on_plain(ByteView(all).first(cut)).has_value());
        REQUIRE(reader.on_plain(ByteView(all).subspan(cut)).has_value());
        CHECK(reader.next() == Bytes(2, 0x5a));
        CHECK(reader.next() == Bytes());
        CHECK(reader.next() == Bytes(5, 0x5a));
        CHECK_FALSE(reader.next().has_value());
    }
}

TEST_CASE("a reader knows whether it stands inside a message") {
    MessageReader reader;
    const Bytes message = with_length(2, 2);
    for (std::size_t i = 0; i < message.size(); ++i) {
        REQUIRE(reader.on_plain(ByteView(message).subspan(i, 1)).has_value());
        CHECK(reader.inside_message() == (i + 1 < message.size()));
    }
}

}  // namespace
}  // namespace ladderline::test
