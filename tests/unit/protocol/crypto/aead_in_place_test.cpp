#include "protocol/crypto/aead_in_place.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

struct Bench {
    test::SeededRandom random{6};
    AeadKey key = AeadKey::random(random);
    XNonce nonce = random.draw<XNonce>();
    Bytes plain{1, 2, 3, 4, 5};
    Bytes place{9, 9};
    Bytes sealed = Bytes(5);
    Bytes tag = Bytes(aead_tag_bytes);

    XCipher cipher{key};

    Bench() { cipher.seal(nonce, place, plain.size(), plain, sealed, tag); }
    bool opens() {
        Bytes out(5);
        const bool genuine = cipher.is_genuine(nonce, place, sealed, tag);
        const bool opened = cipher.open(nonce, place, out.size(), sealed, tag, out);
        CHECK(genuine == opened);
        CHECK(out == (opened ? plain : Bytes(5)));
        return opened;
    }
};

}  // namespace

TEST_CASE("sealing into given memory yields the bytes that sealing into new memory yields") {
    Bench bench;
    Bytes joined = bench.sealed;
    joined.insert(joined.end(), bench.tag.begin(), bench.tag.end());
    CHECK(joined == xseal(bench.key, bench.nonce, bench.place, bench.plain));
    CHECK(bench.opens());
}

// Lengths around the blocks of the stream (64), of the tag (16) and of wide registers (512); nonces that share a subkey
// and nonces that do not.
TEST_CASE("messages of any length, with any room behind them, are those of libsodium's own cipher") {
    Bench bench;
    for (const std::size_t size : {0, 1, 15, 16, 17, 63, 64, 65, 511, 512, 513, 4032, 4056}) {
        for (const std::size_t room : {0, 1, 40}) {
            for (const std::size_t changed : {0, 15, 16, 23}) {
                CAPTURE(size);
                CAPTURE(room);
                CAPTURE(changed);
                bench.nonce.data[changed] ^= 0x55;
                Bytes place(size % 21, 7);
                Bytes plain(size + room);
                bench.random.fill(MutableByteView(plain).first(size));
                Bytes sealed(size + room);
                bench.cipher.seal(bench.nonce, place, size, plain, sealed, bench.tag);
                Bytes joined(sealed.begin(), sealed.begin() + static_cast<std::ptrdiff_t>(size));
                joined.insert(joined.end(), bench.tag.begin(), bench.tag.end());
                CHECK(joined == xseal(bench.key, bench.nonce, place, ByteView(plain).first(size)));
                Bytes opened(size + room);
                REQUIRE(bench.cipher.open(bench.nonce, place, size, sealed, bench.tag, opened));
                CHECK(std::equal(plain.begin(), plain.begin() + static_cast<std::ptrdiff_t>(size), opened.begin()));
            }
        }
    }
}

TEST_CASE("source and target may be the same memory") {
    Bench bench;
    Bytes memory = bench.plain;
    bench.cipher.seal(bench.nonce, bench.place, memory.size(), memory, memory, bench.tag);
    CHECK(memory == bench.sealed);
    REQUIRE(bench.cipher.open(bench.nonce, bench.place, memory.size(), memory, bench.tag, memory));
    CHECK(memory == bench.plain);
}

TEST_CASE("a changed body, tag, nonce or place does not open") {
    for (const int what : {0, 1, 2, 3}) {
        CAPTURE(what);
        Bench bench;
        if (what == 0) bench.sealed[4] ^= 1;
        if (what == 1) bench.tag[15] ^= 0x80;
        if (what == 2) bench.nonce.data[0] ^= 1;
        if (what == 3) bench.place[1] ^= 1;
        CHECK_FALSE(bench.opens());
    }
}
