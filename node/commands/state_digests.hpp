#pragma once
// The state digest of every circle that this node holds: equal on two nodes that hold the same of it.

#include "node/commands/context.hpp"
#include "store/digest/state_digest.hpp"

namespace ladderline::node {

struct CircleDigest {
    protocol::CircleId circle;
    store::StateDigest digest;
};
// In order of circle.
Result<std::vector<CircleDigest>> state_digests(Context& context);

}  // namespace ladderline::node
