#include "protocol/handshake/preface.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::test {
namespace {

Preface invited() {
    return {WirePattern::xx_psk0, invite_of(4)};
}

TEST_CASE("a preface is 24 bytes: magic, version, pattern, invite id") {
    const Bytes bytes = write_preface(invited());
    CHECK(to_hex(ByteView(bytes).first(8)) == "4c41444445520103");
    CHECK(to_hex(ByteView(bytes).subspan(8)) == to_hex(invite_of(4).view()));
}

TEST_CASE("every preface reads back as it was written") {
    for (const Preface& preface : {Preface{WirePattern::ik, {}}, Preface{WirePattern::xx, {}}, invited()}) {
        CHECK(read_preface(write_preface(preface)).value() == preface);
    }
}

TEST_CASE("a wrong preface is refused with its kind of fault") {
    struct Row {
        const char* what;
        WirePattern pattern;
        std::size_t at;
        std::uint8_t value;
        Fault fault;
    };
    const Row rows[] = {
        {"other magic", WirePattern::ik, 0, 'l', Fault::peer},
        {"magic wrong at its end", WirePattern::ik, 5, 'S', Fault::peer},
        {"a newer version", WirePattern::ik, 6, 2, Fault::unsupported},
        {"version nought", WirePattern::ik, 6, 0, Fault::unsupported},
        {"pattern nought", WirePattern::ik, 7, 0, Fault::peer},
        {"pattern four", WirePattern::ik, 7, 4, Fault::peer},
        {"an invite where none belongs", WirePattern::ik, 23, 1, Fault::peer},
        {"an invite in xx", WirePattern::xx, 8, 1, Fault::peer},
        {"no invite where one belongs", WirePattern::xx, 7, 3, Fault::peer},
        {"an invite turned into plain xx", WirePattern::xx_psk0, 7, 2, Fault::peer},
    };
    for (const Row& row : rows) {
        CAPTURE(row.what);
        Bytes bytes = write_preface({row.pattern, row.pattern == WirePattern::xx_psk0 ? invite_of(4) : InviteId{}});
        bytes[row.at] = row.value;
        const auto read = read_preface(bytes);
        REQUIRE_FALSE(read.has_value());
        CHECK(read.error().fault() == row.fault);
    }
}

TEST_CASE("the start of a good preface is good at every length") {
    const Bytes bytes = write_preface(invited());
    for (std::size_t size = 0; size <= bytes.size(); ++size) {
        CHECK(check_preface_start(ByteView(bytes).first(size)).has_value());
    }
}

TEST_CASE("a stranger's first byte is enough to end") {
    CHECK(check_preface_start(as_bytes("G")).error().fault() == Fault::peer);
}

TEST_CASE("the prologue contains every byte of the preface") {
    const Bytes preface = write_preface(invited());
    const Bytes prologue = handshake_prologue(invited());
    REQUIRE(prologue.size() > preface.size());
    CHECK(std::equal(preface.rbegin(), preface.rend(), prologue.rbegin()));
}

}  // namespace
}  // namespace ladderline::test
