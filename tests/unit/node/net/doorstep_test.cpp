// Who goes when more callers wait at a door than it keeps.

#include "node/net/doorstep.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using boost::asio::ip::make_address;
using node::net::Caller;
using node::net::network_of;

namespace {

Caller from(const char* address, bool is_known = false) {
    return {make_address(address), is_known};
}

// At a door with four places, three of one network.
std::optional<std::size_t> goes(const std::vector<Caller>& callers, const char* newcomer) {
    return node::net::who_makes_room(callers, make_address(newcomer), {4, 3});
}

}  // namespace

TEST_CASE("as long as there is room nobody goes") {
    CHECK_FALSE(goes({}, "192.0.2.1").has_value());
    CHECK_FALSE(goes({from("192.0.2.1"), from("192.0.2.1"), from("192.0.2.2")}, "192.0.2.1").has_value());
}

TEST_CASE("at a full door the oldest of those goes that come from where most come from") {
    CHECK(goes({from("192.0.2.1"), from("192.0.2.2"), from("192.0.2.2"), from("192.0.2.3")}, "192.0.2.4") == 1);
    CHECK(goes({from("192.0.2.1"), from("192.0.2.2"), from("192.0.2.3"), from("192.0.2.4")}, "192.0.2.5") == 0);
}

TEST_CASE("where one address has all that it may have its own oldest goes") {
    CHECK(goes({from("192.0.2.1"), from("192.0.2.2"), from("192.0.2.2"), from("192.0.2.2")}, "192.0.2.2") == 1);
    CHECK(goes({from("192.0.2.2"), from("192.0.2.2"), from("192.0.2.2")}, "192.0.2.2") == 0);
}

TEST_CASE("whoever is known goes only where nobody else can") {
    CHECK(goes({from("192.0.2.1", true), from("192.0.2.1", true), from("192.0.2.1", true), from("192.0.2.2")},
               "192.0.2.3") == 3);
    CHECK(goes({from("192.0.2.1", true), from("192.0.2.2", true), from("192.0.2.2", true), from("192.0.2.3", true)},
               "192.0.2.4") == 1);
}

TEST_CASE("those who are known draw nobody of their network out of the door") {
    CHECK(goes({from("192.0.2.1", true), from("192.0.2.1", true), from("192.0.2.1"), from("192.0.2.2"),
                from("192.0.2.2")},
               "192.0.2.3") == 3);
}

TEST_CASE("all addresses of an IPv6 network of 64 bits count as one, an IPv4 address in IPv6 as itself") {
    CHECK(network_of(make_address("2001:db8:1:2:3:4:5:6")) == network_of(make_address("2001:db8:1:2::9")));
    CHECK(network_of(make_address("2001:db8:1:2::9")) != network_of(make_address("2001:db8:1:3::9")));
    CHECK(network_of(make_address("::ffff:192.0.2.1")) == make_address("192.0.2.1"));
    CHECK(network_of(make_address("192.0.2.1")) != network_of(make_address("192.0.2.2")));
}
