#pragma once
// Joining with an invite code, from a running node or from a process that runs none.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>

#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"
#include "node/net/join.hpp"

namespace ladderline::node {

// Everything before the network: the name known, the message ready. `port`: where this node listens, 0 if nowhere.
Result<net::JoinSetup> prepare_join(OpenHome& home, const InviteCode& code, bool under_18, std::uint16_t port);

// Who somebody is that joins: name and age as this store has them. not_found: the store has no owner yet.
Result<protocol::JoinMessage> join_message(OpenHome& home, bool under_18, std::uint16_t port);

// The whole of it; the welcome is taken in.
boost::asio::awaitable<Result<protocol::WelcomeMessage::Joined>> join_circle(OpenHome& home, net::Parts parts,
                                                                             net::JoinSetup setup);
boost::asio::awaitable<Result<Done>> join_as_typed(OpenHome& home, net::Parts parts, cli::JoinOptions options,
                                                   std::uint16_t port);

// Joins with an invite code from a process that runs no node.
Result<Done> join_once(OpenHome& home, Env& env, const cli::JoinOptions& options);

}  // namespace ladderline::node
