#include "node/commands/invite_reach.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdint>
#include <optional>

namespace ladderline::node {
namespace {

enum class Within { this_machine, local_network, everywhere };

std::string host_of(std::string_view address) {
    std::string_view host = address.substr(0, address.rfind(':'));
    if (host.starts_with('[') && host.ends_with(']')) host = host.substr(1, host.size() - 2);
    std::string out(host);
    for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return out;
}

std::optional<std::array<std::uint8_t, 4>> ipv4(std::string_view host) {
    std::array<std::uint8_t, 4> out{};
    const char* at = host.data();
    const char* const end = at + host.size();
    for (std::size_t k = 0; k < out.size(); ++k) {
        if (k > 0 && (at == end || *at++ != '.')) return std::nullopt;
        const auto [next, error] = std::from_chars(at, end, out.at(k));
        if (error != std::errc{}) return std::nullopt;
        at = next;
    }
    if (at != end) return std::nullopt;
    return out;
}

// RFC 1122, 1918, 3927 and 6598.
Within reach_of(const std::array<std::uint8_t, 4>& ip) {
    if (ip[0] == 127 || ip[0] == 0) return Within::this_machine;
    const bool is_private =
        ip[0] == 10 || (ip[0] == 172 && ip[1] >= 16 && ip[1] < 32) || (ip[0] == 192 && ip[1] == 168);
    const bool is_shared = ip[0] == 100 && ip[1] >= 64 && ip[1] < 128;
    const bool is_link_local = ip[0] == 169 && ip[1] == 254;
    return is_private || is_shared || is_link_local ? Within::local_network : Within::everywhere;
}

// RFC 4193 and 4291: fc00::/7 and fe80::/10.
Within reach_of_v6(std::string_view host) {
    if (host == "::1" || host == "::") return Within::this_machine;
    const std::string_view start = host.substr(0, 2);
    const bool is_link_local =
        start == "fe" && host.size() > 2 && std::string_view("89ab").find(host[2]) != std::string_view::npos;
    return start == "fc" || start == "fd" || is_link_local ? Within::local_network : Within::everywhere;
}

Within reach_of(const std::string& host) {
    if (const auto ip = ipv4(host)) return reach_of(*ip);
    if (host.find(':') != std::string::npos) return reach_of_v6(host);
    if (host == "localhost") return Within::this_machine;
    // A name without a dot, and .local (RFC 6762), are known to the local network alone.
    return host.find('.') == std::string::npos || host.ends_with(".local") ? Within::local_network : Within::everywhere;
}

}  // namespace

std::string limits_of_address(std::string_view address) {
    const std::string at(address);
    if (address.find(':') == std::string_view::npos) {
        return "It names no address of this node, so nobody can join with it: make another, and name host and port at "
               "which others reach this machine.";
    }
    switch (reach_of(host_of(address))) {
        case Within::this_machine:
            return "Only this machine itself reaches " + at +
                   ", so nobody elsewhere can join with it: make another, and name host and port at which others reach "
                   "this machine.";
        case Within::local_network:
            return "Only a machine in the same local network reaches " + at +
                   "; for somebody elsewhere make another with an address that leads here from the internet, or use it "
                   "when they are in your network.";
        case Within::everywhere:
            break;
    }
    return "";
}

}  // namespace ladderline::node
