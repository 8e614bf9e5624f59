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

    Bench() { xseal_into(key, nonce, place, plain, sealed, tag); }
    bool opens() {
        Bytes out(5);
        return xopen_into(key, nonce, place, sealed, tag, out) && out == plain;
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

TEST_CASE("source and target may be the same memory") {
    Bench bench;
    Bytes memory = bench.plain;
    xseal_into(bench.key, bench.nonce, bench.place, memory, memory, bench.tag);
    CHECK(memory == bench.sealed);
    REQUIRE(xopen_into(bench.key, bench.nonce, bench.place, memory, bench.tag, memory));
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
