#include "node/net/address.hpp"

#include <charconv>

namespace ladderline::node::net {

Result<Address> parse_address(std::string_view text) {
    const Error bad{Fault::bad_input,
                    "'" + std::string(text) + "' is no address; write it as 192.0.2.7:7300 or name:7300."};
    const auto colon = text.rfind(':');
    if (colon == std::string_view::npos || colon == 0) return bad;
    Address out;
    std::string_view host = text.substr(0, colon);
    if (host.front() == '[' && host.back() == ']') host = host.substr(1, host.size() - 2);
    out.host = host;
    const std::string_view port = text.substr(colon + 1);
    const auto [end, error] = std::from_chars(port.data(), port.data() + port.size(), out.port);
    if (out.host.empty() || port.empty() || error != std::errc{} || end != port.data() + port.size()) return bad;
    return out;
}

std::string to_text(const Address& address) {
    const bool bare_v6 = address.host.find(':') != std::string::npos;
    return (bare_v6 ? "[" + address.host + "]" : address.host) + ":" + std::to_string(address.port);
}

}  // namespace ladderline::node::net
