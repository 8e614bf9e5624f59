#include "protocol/sync/returning.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/person.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

struct Call {
    test::SeededRandom random{5};
    test::Person ben = test::make_person("Ben", random);
    HandshakeHash handshake = random.draw<HandshakeHash>();
    ReturnMessage message = make_return(ben.certificate(), ben.identity, handshake);
};

}  // namespace

TEST_CASE("who comes back is believed for their own connection alone") {
    Call c;
    CHECK(is_genuine(c.message, c.handshake, c.ben.noise.pub));
    CHECK_FALSE(is_genuine(c.message, c.random.draw<HandshakeHash>(), c.ben.noise.pub));
}

TEST_CASE("a proof is no good for another device's connection, nor for another device") {
    Call c;
    const test::Person other = test::second_device(c.ben, c.random);
    CHECK_FALSE(is_genuine(c.message, c.handshake, other.noise.pub));
    ReturnMessage moved = c.message;
    moved.device = other.certificate();
    CHECK_FALSE(is_genuine(moved, c.handshake, other.noise.pub));
}

TEST_CASE("a device without the member's identity proves nothing") {
    Call c;
    const ReturnMessage forged = make_return(c.ben.certificate(), c.ben.device, c.handshake);
    CHECK_FALSE(is_genuine(forged, c.handshake, c.ben.noise.pub));
}

TEST_CASE("two members are called for under different names and secrets") {
    Call c;
    const test::Person ada = test::make_person("Ada", c.random);
    CHECK(return_invite(ada.id()) != return_invite(c.ben.id()));
    CHECK_FALSE(equal_secret(return_psk(ada.id()).view(), return_psk(c.ben.id()).view()));
}
