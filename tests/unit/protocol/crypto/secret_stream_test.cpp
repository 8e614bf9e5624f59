#include "protocol/crypto/secret_stream.hpp"

#include <doctest/doctest.h>
#include <sodium.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using namespace ladderline::test;

namespace {

struct Ends {
    SeededRandom random{9};
    AeadKey key = AeadKey::random(random);
    StreamHeader header = random.draw<StreamHeader>();
    SecretStream out{key, header};
    SecretStream in{key, header};
};

}  // namespace

TEST_CASE("a stream opens in order and shows its end") {
    Ends e;
    const Bytes first = e.out.seal(as_bytes("label"), as_bytes("one"), false);
    const Bytes last = e.out.seal(as_bytes("label"), as_bytes("two"), true);
    const auto one = e.in.open(as_bytes("label"), first);
    CHECK(as_text(one.value().plain) == "one");
    CHECK_FALSE(one.value().last);
    CHECK(e.in.open(as_bytes("label"), last).value().last);
}

TEST_CASE("a message out of order, under another label or too short does not open") {
    Ends e;
    const Bytes first = e.out.seal(as_bytes("label"), as_bytes("one"), false);
    const Bytes second = e.out.seal(as_bytes("label"), as_bytes("two"), true);
    CHECK(SecretStream(e.key, e.header).open(as_bytes("label"), second).has_error());
    CHECK(SecretStream(e.key, e.header).open(as_bytes("other"), first).has_error());
    CHECK(SecretStream(e.key, e.header).open(as_bytes("label"), ByteView(first).first(16)).has_error());
}

TEST_CASE("the stream is libsodium's, whichever side began it") {
    Ends e;
    crypto_secretstream_xchacha20poly1305_state state;
    StreamHeader header;
    crypto_secretstream_xchacha20poly1305_init_push(&state, header.data.data(), e.key.view().data());
    Bytes sealed(3 + stream_overhead_bytes);
    crypto_secretstream_xchacha20poly1305_push(&state, sealed.data(), nullptr,
                                               reinterpret_cast<const unsigned char*>("one"), 3, nullptr, 0,
                                               crypto_secretstream_xchacha20poly1305_TAG_FINAL);
    CHECK(SecretStream(e.key, header).open({}, sealed).value().last);
}
