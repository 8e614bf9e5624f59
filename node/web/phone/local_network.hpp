#pragma once
// Which addresses belong to a network at home.

#include <boost/asio/ip/address.hpp>
#include <string>
#include <vector>

namespace ladderline::node::web {

// One of this machine's.
struct OwnAddress {
    std::string network;  // as the system names it: "wlan0"
    boost::asio::ip::address address;
};

// Private IPv4 (RFC 1918), the addresses that machines give themselves (RFC 3927, RFC 4291 2.5.6), unique local IPv6
// (RFC 4193), and the loopback. Not those of providers' shared networks (RFC 6598).
bool is_of_local_network(const boost::asio::ip::address& address);

// What a browser can open: of the local network, without the loopback, and without IPv6 addresses that need the name of
// an interface beside them.
std::vector<OwnAddress> shareable(const std::vector<OwnAddress>& all);

// "192.168.7.20"; "[fd00::1]"
std::string host_text(const boost::asio::ip::address& address);

}  // namespace ladderline::node::web
