#include "node/commands/invite_reach.hpp"

#include <doctest/doctest.h>

#include <initializer_list>

using ladderline::node::limits_of_address;

namespace {

bool says(std::string_view address, std::string_view what) {
    return limits_of_address(address).find(what) != std::string::npos;
}

}  // namespace

TEST_CASE("an invite without an address is said to let nobody in") {
    CHECK(says("", "names no address"));
}

TEST_CASE("an address of this machine alone is said to be one") {
    for (const char* address :
         {"127.0.0.1:7300", "127.9.9.9:1", "0.0.0.0:7300", "[::1]:7300", "localhost:7300", "LocalHost:7300"}) {
        CAPTURE(address);
        CHECK(says(address, "Only this machine itself reaches " + std::string(address)));
    }
}

TEST_CASE("an address of a local network is said to be one, at both ends of each range") {
    for (const char* address : {"10.0.0.1:7300", "172.16.0.1:7300", "172.31.255.254:7300", "192.168.1.20:7300",
                                "169.254.3.4:7300", "100.64.0.1:7300", "100.127.1.1:7300", "[fd12::7]:7300",
                                "[fe80::1]:7300", "[feBF::1]:7300", "shack:7300", "shack.local:7300"}) {
        CAPTURE(address);
        CHECK(says(address, "same local network"));
    }
}

TEST_CASE("of an address that anybody may call nothing is said") {
    for (const char* address :
         {"192.0.2.7:7300", "172.15.0.1:7300", "172.32.0.1:7300", "100.63.1.1:7300", "100.128.1.1:7300", "11.0.0.1:1",
          "192.169.0.1:7300", "[2001:db8::7]:7300", "club.example.org:7300", "1.2.3:7300", "1.2.3.4.5:7300"}) {
        CAPTURE(address);
        CHECK(limits_of_address(address) == "");
    }
}
