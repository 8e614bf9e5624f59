#pragma once
// "host:port" as people type it: a name, an IPv4 address, or an IPv6 address in square brackets.

#include <cstdint>
#include <string>
#include <string_view>

#include "protocol/base/result.hpp"

namespace ladderline::node::net {

struct Address {
    std::string host;
    std::uint16_t port = 0;  // 0 only where a free one may be chosen
};

// The kinds of address at which somebody listens.
struct Families {
    bool v4 = false;
    bool v6 = false;
};

Result<Address> parse_address(std::string_view text);
std::string to_text(const Address& address);

}  // namespace ladderline::node::net
