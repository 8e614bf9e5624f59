#pragma once
// A member who lost their machine calls somebody who shares a circle with them, from a new device.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>

#include "node/net/address.hpp"
#include "node/net/host.hpp"

namespace ladderline::node::net {

struct ReturnSetup {
    Address address;
    std::int64_t wait_ms_max = 15'000;
};

// `parts.me` has the member's identity and this new device. network: nobody there. refused: the node there shares no
// circle with this member, or they were taken out. The host's device is remembered with its address.
boost::asio::awaitable<Result<protocol::ReturnedMessage::Back>> come_back(boost::asio::any_io_executor strand,
                                                                          Parts parts, ReturnSetup setup);

}  // namespace ladderline::node::net
