#pragma once
// Listens for peers, calls those whose address is known, and keeps their links.

#include <boost/asio/any_io_executor.hpp>
#include <functional>

#include "node/net/address.hpp"
#include "node/net/link.hpp"

namespace ladderline::node::net {

struct NetworkTimes {
    std::int64_t first_retry_ms = 500;
    std::int64_t last_retry_ms = 300'000;
    std::int64_t dial_wait_ms_max = 10'000;  // to find the address and be answered there
    std::int64_t stood_ms_min = 10'000;      // a session that stood so long was worth its call
};

// Connections that have not proven whose they are; one more makes another of them go (doorstep.hpp).
inline constexpr std::size_t half_open_max = 48;
inline constexpr std::size_t half_open_per_network_max = 16;

class Network {
public:
    Network(boost::asio::any_io_executor strand, const Parts& parts, NetworkTimes times = {});
    // The io_context must not be running on another thread; cuts what still runs.
    ~Network();
    Network(const Network&) = delete;
    Network& operator=(const Network&) = delete;

    // Port 0 takes a free one; gives the port. busy: somebody else has it.
    Result<std::uint16_t> listen(const Address& address);
    std::uint16_t port() const;
    // Neither if it does not listen.
    Families families() const;
    // Accepts and dials from now on.
    void start();
    // Stops accepting and dialling, says goodbye on every link.
    void stop();
    // Events of the circle were stored here (by a person, or by another link).
    void on_news(const protocol::CircleId& circle);
    // Somebody new may be reachable: look at once.
    void look_again();
    // Calls a device at an address that was just heard of, if there is no link to it and it is not being called there
    // or at too many others. The address is not kept, and a call that fails there is not held against the device.
    void call_once(const store::PeerDevice& peer);
    // Links that are up, and of these the ones whose roots were equal at the last comparison.
    std::size_t links() const;
    std::size_t links_in_step() const;
    // A link to the device with that key is up, and both have held the same since it is: what it has not sent yet, it
    // has not had for long.
    bool was_in_step_with(const protocol::DhPublic& noise) const;

private:
    struct State;
    std::shared_ptr<State> state_;
};

}  // namespace ladderline::node::net
