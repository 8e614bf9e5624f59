#pragma once
// Who goes when more callers wait at a door than it keeps: whoever floods it, and not the next who comes.

#include <boost/asio/ip/address.hpp>
#include <optional>
#include <vector>

namespace ladderline::node::net {

struct Caller {
    boost::asio::ip::address from;
    bool is_known = false;  // has shown more than anybody could
};

struct DoorPlaces {
    std::size_t all = 0;
    std::size_t of_one_network = 0;
};

// What counts as one caller's: the address, and of IPv6 the network of its first 64 bits, because whoever has one
// address there has them all. An IPv4 address in the clothes of IPv6 is the IPv4 address.
boost::asio::ip::address network_of(const boost::asio::ip::address& address);

// The place of the one of `callers`, the oldest of whom comes first, that goes for one more from `newcomer`; none:
// there is room. Of the newcomer's network if that one is full, else of all: whoever is not known goes first, then who
// comes from where most like them come from, and of these the oldest.
std::optional<std::size_t> who_makes_room(const std::vector<Caller>& callers, const boost::asio::ip::address& newcomer,
                                          const DoorPlaces& places);

}  // namespace ladderline::node::net
