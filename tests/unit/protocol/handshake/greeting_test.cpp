#include "protocol/handshake/greeting.hpp"

#include <doctest/doctest.h>

#include "protocol/limits.hpp"
#include "tests/support/protocol/given_random.hpp"
#include "tests/support/protocol/handshake_pair.hpp"

namespace ladderline::test {
namespace {

HandshakeHash handshake_of(std::uint8_t value) {
    HandshakeHash out;
    out.data.fill(value);
    return out;
}

// A host and a caller whose messages a test carries.
struct TwoPeople {
    explicit TwoPeople(std::uint8_t hosts_handshake = 1, std::uint8_t callers_handshake = 1)
        : host(Greeting::host(handshake_of(hosts_handshake), host_random)),
          caller(Greeting::caller(handshake_of(callers_handshake), caller_random)) {}

    // Until neither has anything to say; the first error if there was one.
    Result<void> carry() {
        for (bool moved = true; std::exchange(moved, false);) {
            while (const auto message = host.next_output()) {
                TRY(caller.on_message(*message));
                moved = true;
            }
            while (const auto message = caller.next_output()) {
                TRY(host.on_message(*message));
                moved = true;
            }
        }
        return ok();
    }

    SeededRandom host_random{21};
    SeededRandom caller_random{22};
    Greeting host;
    Greeting caller;
};

// The next message of one side; the test ends without one.
Bytes said_by(Greeting& greeting) {
    const auto message = greeting.next_output();
    REQUIRE(message.has_value());
    return *message;
}

TEST_CASE("both sides of a greeting know the same six letters") {
    TwoPeople two;
    REQUIRE(two.carry().has_value());
    REQUIRE(two.host.letters_known());
    CHECK(two.host.letters() == two.caller.letters());
}

TEST_CASE("a whole greeting over one handshake gives the letters of a second computation") {
    // Python, hashlib.blake2b with digest_size=32 over b"sas" + h + nI + nR, the first eight bytes as a little-endian
    // number in base 26, most significant letter first; h = 32 bytes of the first number, and so on.
    struct Row {
        std::uint8_t handshake, callers, hosts;
        const char* letters;
    };
    constexpr Row rows[] = {
        {1, 2, 3, "CGYHFB"},    {0, 0, 0, "OTLPOZ"},      {255, 255, 255, "GAZVPC"}, {1, 3, 2, "KJTTNE"},
        {16, 17, 18, "QQHMLL"}, {200, 100, 50, "IEVVCL"}, {7, 7, 7, "DPDGRA"},       {90, 91, 92, "YDEPVN"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.letters);
        GivenRandom hosts(Bytes(32, row.hosts));
        GivenRandom callers(Bytes(32, row.callers));
        Greeting host = Greeting::host(handshake_of(row.handshake), hosts);
        Greeting caller = Greeting::caller(handshake_of(row.handshake), callers);
        REQUIRE(caller.on_message(said_by(host)).has_value());
        REQUIRE(host.on_message(said_by(caller)).has_value());
        REQUIRE(caller.on_message(said_by(host)).has_value());
        CHECK(caller.letters() == row.letters);
        CHECK(host.letters() == row.letters);
    }
}

TEST_CASE("a caller knows no letters before the host has shown the nonce it was bound to") {
    TwoPeople two;
    REQUIRE(two.caller.on_message(said_by(two.host)).has_value());
    REQUIRE(two.host.on_message(said_by(two.caller)).has_value());
    CHECK_FALSE(two.caller.letters_known());
}

TEST_CASE("somebody in between, with a handshake on each side, makes the two people see other letters") {
    TwoPeople two(1, 2);  // two handshakes: the one in between can only pass the messages on, or make its own
    Greeting to_host = Greeting::caller(handshake_of(1), two.caller_random);
    Greeting to_caller = Greeting::host(handshake_of(2), two.host_random);
    REQUIRE(to_host.on_message(said_by(two.host)).has_value());
    REQUIRE(two.caller.on_message(said_by(to_caller)).has_value());
    REQUIRE(two.host.on_message(said_by(to_host)).has_value());
    REQUIRE(to_caller.on_message(said_by(two.caller)).has_value());
    REQUIRE(two.caller.on_message(said_by(to_caller)).has_value());
    CHECK(two.host.letters() != two.caller.letters());
}

TEST_CASE("somebody in between who passes on the commitment of the other handshake is noticed") {
    TwoPeople two(1, 2);
    CHECK(two.carry().error().fault() == Fault::peer);
    CHECK_FALSE(two.caller.letters_known());
}

TEST_CASE("a reveal that differs from the commitment in any byte ends the greeting without letters") {
    for (std::size_t i = 0; i < CheckNonce::size; ++i) {
        CAPTURE(i);
        TwoPeople two;
        REQUIRE(two.caller.on_message(said_by(two.host)).has_value());
        REQUIRE(two.host.on_message(said_by(two.caller)).has_value());
        Bytes reveal = said_by(two.host);
        reveal[1 + i] ^= 1;
        CHECK(two.caller.on_message(reveal).error().fault() == Fault::peer);
        CHECK_FALSE(two.caller.letters_known());
    }
}

TEST_CASE("the messages of an earlier greeting are of no use in another") {
    TwoPeople earlier;
    const Bytes commit = said_by(earlier.host);
    REQUIRE(earlier.caller.on_message(commit).has_value());
    REQUIRE(earlier.host.on_message(said_by(earlier.caller)).has_value());
    const Bytes reveal = said_by(earlier.host);
    TwoPeople later(1, 3);
    REQUIRE(later.caller.on_message(commit).has_value());
    CHECK(later.caller.on_message(reveal).error().fault() == Fault::peer);
}

TEST_CASE("both have agreed only when both have said the same") {
    TwoPeople two;
    REQUIRE(two.carry().has_value());
    two.host.say(true);
    REQUIRE(two.carry().has_value());
    CHECK_FALSE(two.caller.agreed());
    two.caller.say(true);
    REQUIRE(two.carry().has_value());
    CHECK(two.host.agreed());
    CHECK(two.caller.agreed());
}

TEST_CASE("one who says that the letters differ ends it for both, whatever the other says") {
    TwoPeople two;
    REQUIRE(two.carry().has_value());
    two.host.say(true);
    two.caller.say(false);
    REQUIRE(two.carry().has_value());
    CHECK(two.host.differed());
    CHECK(two.caller.differed());
    CHECK_FALSE(two.host.agreed());
}

TEST_CASE("every message out of turn, repeated, unknown, too short or too long ends a greeting") {
    const Bytes nonce(32, 7);
    const auto typed = [&](std::uint8_t type, std::size_t bytes) {
        Bytes out(1 + bytes, 7);
        out[0] = type;
        return out;
    };
    const std::vector<Bytes> bad{{},           typed(30, 31), typed(30, 33), typed(31, 32), typed(32, 32),
                                 typed(33, 1), typed(34, 32), typed(9, 32),  typed(255, 0)};
    for (const Bytes& message : bad) {
        CAPTURE(to_hex(message));
        SeededRandom random(1);
        Greeting caller = Greeting::caller(handshake_of(1), random);
        CHECK(caller.on_message(message).error().fault() == Fault::peer);
        CHECK_FALSE(caller.on_message(typed(30, 32)).has_value());  // over for good
    }
    SeededRandom random(1);
    Greeting host = Greeting::host(handshake_of(1), random);
    REQUIRE(host.on_message(typed(31, 32)).has_value());
    CHECK(host.on_message(typed(31, 32)).error().fault() == Fault::peer);
    CHECK_FALSE(host.letters_known());
}

TEST_CASE("a verdict that is neither yes nor no, or comes twice, ends a greeting") {
    for (const std::uint8_t verdict : {std::uint8_t{2}, std::uint8_t{255}}) {
        TwoPeople two;
        REQUIRE(two.carry().has_value());
        CHECK(two.host.on_message(Bytes{33, verdict}).error().fault() == Fault::peer);
    }
    TwoPeople two;
    REQUIRE(two.carry().has_value());
    REQUIRE(two.host.on_message(Bytes{33, 1}).has_value());
    CHECK(two.host.on_message(Bytes{33, 1}).error().fault() == Fault::peer);
}

}  // namespace
}  // namespace ladderline::test
