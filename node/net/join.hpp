#pragma once
// The joining side of an invite: one connection to whoever gave it.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>

#include "node/net/address.hpp"
#include "node/net/host.hpp"

namespace ladderline::node::net {

struct JoinSetup {
    Address address;
    protocol::InviteId invite;
    Bytes secret;  // 32 bytes
    protocol::JoinMessage who;
    std::int64_t wait_ms_max = 15'000;
};

// network: nobody there, with a sentence that says which step failed. refused: the invite is unknown, used up or over,
// or the circle does not take this person now. The host's device is remembered with its address.
boost::asio::awaitable<Result<protocol::WelcomeMessage::Joined>> join(boost::asio::any_io_executor strand, Parts parts,
                                                                      JoinSetup setup);

}  // namespace ladderline::node::net
