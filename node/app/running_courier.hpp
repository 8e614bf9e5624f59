#pragma once
// A courier that runs: its door for callers, and its keeper's commands.

#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"

namespace ladderline::node {

// Until a signal stops it. `home` is a courier's (commands/couriers.hpp). No pages, no discovery, no calls.
Result<void> run_courier(OpenHome& home, Env& env, const cli::RunOptions& options);

}  // namespace ladderline::node
