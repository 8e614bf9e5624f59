#include "node/net/address.hpp"

#include <doctest/doctest.h>

#include <utility>

using namespace ladderline;
using namespace ladderline::node::net;

TEST_CASE("an address is read into its host and its port") {
    const std::pair<const char*, std::pair<const char*, std::uint16_t>> cases[] = {
        {"192.0.2.7:7300", {"192.0.2.7", 7300}},
        {"club.example:1", {"club.example", 1}},
        {"[2001:db8::7]:65535", {"2001:db8::7", 65535}},
        {"127.0.0.1:0", {"127.0.0.1", 0}},
    };
    for (const auto& [text, expected] : cases) {
        CAPTURE(text);
        const auto address = parse_address(text);
        REQUIRE(address.has_value());
        CHECK(address.value().host == expected.first);
        CHECK(address.value().port == expected.second);
        CHECK(to_text(address.value()) == text);
    }
}

TEST_CASE("what is no address is refused") {
    for (const char* text : {"", ":", ":7300", "name", "name:", "name:x", "name:65536", "name:-1", "name:1x", "[]:1"}) {
        CAPTURE(text);
        CHECK_FALSE(parse_address(text).has_value());
    }
}
