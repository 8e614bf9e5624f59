#pragma once
// A node that runs: pages, network, command socket, all on one strand over one open store.

#include <memory>

#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"
#include "protocol/sync/messages.hpp"

namespace ladderline::node {

// Prints where the pages are, and runs until SIGINT or SIGTERM. The store is closed cleanly then.
Result<void> run_node(OpenHome& home, Env& env, const cli::RunOptions& options);

}  // namespace ladderline::node
