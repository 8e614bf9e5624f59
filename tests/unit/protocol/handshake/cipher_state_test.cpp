#include "protocol/handshake/cipher_state.hpp"

#include <doctest/doctest.h>
#include <sodium.h>

#include <limits>

namespace ladderline::test {
namespace {

using namespace ladderline::protocol;

const Bytes key_a(32, 0xa1);

TEST_CASE("a cipher without a key passes bytes unchanged, as Noise section 5.1 asks") {
    CipherState cipher;
    CHECK(cipher.encrypt({}, as_bytes("clear")).value() == to_bytes(as_bytes("clear")));
}

TEST_CASE("each message uses the next counter, so the same text never looks the same twice") {
    CipherState cipher(key_a);
    CHECK(cipher.encrypt({}, as_bytes("73")).value() != cipher.encrypt({}, as_bytes("73")).value());
    CHECK(cipher.counter() == 2);
}

TEST_CASE("a message that does not open leaves the counter where it was, and the right one still opens") {
    CipherState writer(key_a);
    CipherState reader(key_a);
    Bytes sealed = writer.encrypt(as_bytes("ad"), as_bytes("text")).value();
    CHECK(reader.decrypt(as_bytes("other"), sealed).error().fault() == Fault::peer);
    CHECK(reader.decrypt(as_bytes("ad"), sealed).value() == to_bytes(as_bytes("text")));
}

TEST_CASE("the last counter value is kept for rekey: neither side uses it for a message") {
    CipherState writer(key_a);
    CipherState reader(key_a);
    writer.skip_to(std::numeric_limits<std::uint64_t>::max());
    reader.skip_to(std::numeric_limits<std::uint64_t>::max());
    CHECK(writer.encrypt({}, as_bytes("x")).error().fault() == Fault::refused);
    CHECK(reader.decrypt({}, Bytes(17)).error().fault() == Fault::peer);
}

TEST_CASE("rekey takes the ChaCha20 key stream of block 1 under counter 2^64-1, computed here another way") {
    // Sealing 32 zero bytes is the key stream itself; RFC 8439 section 2.8 starts the text at block 1.
    CipherState rekeyed(key_a);
    rekeyed.skip_to(5);
    rekeyed.rekey();
    Bytes nonce(12, 0xff);
    std::fill_n(nonce.begin(), 4, std::uint8_t{0});
    const Bytes zeros(32);
    Bytes key(32);
    crypto_stream_chacha20_ietf_xor_ic(key.data(), zeros.data(), zeros.size(), nonce.data(), 1, key_a.data());
    CipherState expected(key);
    expected.skip_to(5);
    CHECK(rekeyed.encrypt({}, as_bytes("after")).value() == expected.encrypt({}, as_bytes("after")).value());
}

TEST_CASE("rekey does not touch the counter") {
    CipherState cipher(key_a);
    cipher.skip_to(9);
    cipher.rekey();
    CHECK(cipher.counter() == 9);
}

}  // namespace
}  // namespace ladderline::test
