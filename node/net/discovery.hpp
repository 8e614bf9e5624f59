#pragma once
// Finds the members of one's circles on the local networks: calls out a beacon (protocol/sync/beacon.hpp) by multicast
// and by broadcast on every interface, and hears those of others. Both, because access points and switches lose one or
// the other. What it finds is an address to call, no more: the call itself proves who is there.

#include <boost/asio/any_io_executor.hpp>
#include <functional>
#include <memory>

#include "node/net/address.hpp"
#include "node/net/host.hpp"
#include "protocol/sync/beacon.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::node::net {

// The port and the groups have no meaning elsewhere that we know of; all members must agree on them.
inline constexpr std::uint16_t discovery_port = 57'373;
inline constexpr const char* discovery_group_v4 = "239.193.73.73";  // local scope of an organisation, RFC 2365
inline constexpr const char* discovery_group_v6 = "ff12::7373";     // link-local, transient, RFC 4291

struct DiscoverySetup {
    std::uint16_t port = discovery_port;  // 0 takes a free one, for tests
    bool everywhere = true;               // multicast and broadcast on all interfaces
    std::vector<Address> also_to;         // further places to call out to, by number
    std::int64_t period_ms = 45'000;
};

class Discovery {
public:
    // A device of a present member was heard, with the address where it listens.
    using Found = std::function<void(const store::PeerDevice& peer)>;

    Discovery(boost::asio::any_io_executor strand, const Parts& parts, DiscoverySetup setup, Found found);
    ~Discovery();
    Discovery(const Discovery&) = delete;
    Discovery& operator=(const Discovery&) = delete;

    // Hears from now on, and calls out that this node listens on `tcp_port`, by the kinds of address at which it does:
    // whoever hears it calls the address that it came from. network: no socket could be had.
    Result<void> start(std::uint16_t tcp_port, Families families);
    void stop();
    std::uint16_t port() const;
    // Calls out at once.
    void call_out();

private:
    struct State;
    std::shared_ptr<State> state_;
};

}  // namespace ladderline::node::net
