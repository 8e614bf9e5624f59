#pragma once
// Where a call on the local networks of this machine has to be sent.

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/udp.hpp>
#include <string>
#include <vector>

namespace ladderline::node::net {

// One network that this machine is attached to now.
struct Interface {
    unsigned index = 0;                     // the system's number, names the interface for IPv6
    boost::asio::ip::address_v4 own;        // unspecified: none of this kind
    boost::asio::ip::address_v4 broadcast;  // unspecified: the network has none
    bool has_v6 = false;
};

// Interfaces that are up, loopback left out. Empty if the system does not say.
std::vector<Interface> interfaces();

// An address of this machine, and the network that it belongs to as the system names it.
struct NamedAddress {
    std::string network;
    boost::asio::ip::address address;
};
// Of interfaces that are up, loopback left out, IPv4 first. Empty if the system does not say.
std::vector<NamedAddress> named_addresses();

// This machine's own IPv4 address on the way to everybody else, so that an invite can name it; 127.0.0.1 where there is
// no such way. Only the system is asked: nothing is sent.
boost::asio::ip::address_v4 outward_address(boost::asio::io_context& io);

}  // namespace ladderline::node::net
