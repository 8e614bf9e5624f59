#include "node/web/phone/local_network.hpp"

#include <doctest/doctest.h>

using namespace ladderline::node::web;
using boost::asio::ip::make_address;

TEST_CASE("Addresses of a network at home are told from those of everybody") {
    for (const char* local : {"10.0.0.1", "10.255.255.255", "172.16.0.1", "172.31.255.255", "192.168.0.1",
                              "169.254.3.4", "fd12::1", "fc00::1", "fe80::1", "127.0.0.1", "::1"}) {
        CAPTURE(local);
        CHECK(is_of_local_network(make_address(local)));
    }
    for (const char* other : {"9.255.255.255", "11.0.0.1", "172.15.255.255", "172.32.0.1", "192.167.1.1", "192.169.1.1",
                              "169.253.1.1", "100.64.0.1", "0.0.0.0", "203.0.113.9", "2001:db8::1", "::", "ff02::1"}) {
        CAPTURE(other);
        CHECK_FALSE(is_of_local_network(make_address(other)));
    }
}

TEST_CASE("Only addresses that a browser elsewhere at home can open are offered") {
    const std::vector<OwnAddress> all{{"wlan0", make_address("192.168.7.20")},
                                      {"wlan0", make_address("fe80::1%2")},
                                      {"wlan0", make_address("fd12::1")},
                                      {"ppp0", make_address("203.0.113.9")},
                                      {"lo", make_address("127.0.0.1")}};
    const auto offered = shareable(all);
    REQUIRE(offered.size() == 2);
    CHECK(offered[0].address == make_address("192.168.7.20"));
    CHECK(offered[1].address == make_address("fd12::1"));
}

TEST_CASE("An IPv6 address stands in brackets in a link") {
    CHECK(host_text(make_address("fd12::1")) == "[fd12::1]");
    CHECK(host_text(make_address("192.168.7.20")) == "192.168.7.20");
}
