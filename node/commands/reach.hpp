#pragma once
// Where people's nodes are, and how syncing with them goes.

#include "node/commands/context.hpp"

namespace ladderline::node {

// `address`: host:port. All devices of that person are tried there.
Result<Done> reach(Context& context, std::string_view who, std::string_view address);

struct ReachLine {
    std::string name;
    std::string address;
    std::string state;  // "in step at 2026-11-25T19:05Z", or why it failed last
};
Result<std::vector<ReachLine>> reached(Context& context);

}  // namespace ladderline::node
