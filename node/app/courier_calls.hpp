#pragma once
// What a member's node does at a courier when somebody asks for it: take a place, give one up, visit.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>

#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"
#include "node/net/host.hpp"

namespace ladderline::node {

boost::asio::awaitable<Result<cli::Answer>> call_courier(Context& context, net::Parts parts, cli::CourierCall call);
// The same where no node runs.
Result<cli::Answer> call_courier_once(OpenHome& home, Env& env, const cli::CourierCall& call);

}  // namespace ladderline::node
