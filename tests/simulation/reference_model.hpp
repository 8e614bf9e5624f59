#pragma once
// A second, plain reading of WIRE.md section 6 and of the page models: slow, without any of the fold's short cuts, and
// written apart from it. From the set of events to who is a member and whose words count.

#include <string>

#include "tests/simulation/node.hpp"

namespace ladderline::simulation {

// What a node's tables say against what the plain model makes of the node's own events; empty, or the first difference.
std::string compare_with_plain_model(Node& node, const protocol::CircleId& circle);

}  // namespace ladderline::simulation
