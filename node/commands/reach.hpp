#pragma once
// Where people's nodes are, and how syncing with them goes.

#include "node/commands/context.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::node {

// `address`: host:port. All devices of that person are tried there.
Result<Done> reach(Context& context, std::string_view who, std::string_view address);

// One step of a call.
struct ReachStepLine {
    std::string what;  // "The address means a machine"
    bool done = false;
};

struct ReachLine {
    std::string name;
    std::string address;  // empty: not known, they call here
    std::optional<WallTime> last_try;
    std::optional<WallTime> last_same;  // both held the same
    std::vector<ReachStepLine> steps;   // of the last call, all five, in order; empty if none was made
    std::string state;                  // "in step at 2026-11-25T19:05Z", or how far it came
    std::string why;                    // it came no further, in the words of the network; may be empty
    std::string advice;                 // one sentence; empty if nothing needs doing
};
Result<std::vector<ReachLine>> reached(Context& context);

// People in any circle of this node but its owner.
Result<std::size_t> count_others(Context& context);

}  // namespace ladderline::node
