#pragma once
// The clubs of this node's owner, and which of them is meant.

#include "node/commands/context.hpp"

namespace ladderline::node {

// Every club that the owner is in. The first is the one that "the club" means: those that the owner chose stand before
// those that came unasked, then those where the owner is an officer before others, then those known here for longer.
// No name decides, because anybody may give a club any name.
Result<std::vector<CircleView>> own_clubs(Context& context);

// One of them by its name, the beginning of its name, or the first digits of its id; for an empty name the only one.
// Where that leaves several, or none, the error names them.
Result<CircleView> club_called(Context& context, std::string_view name);

// Somebody brought the key to that circle, and the owner neither founded it nor was let in by an invite of theirs. Such
// a circle is followed, so that the owner sees it and can leave it; nothing is shown there that they did not ask for.
Result<bool> came_unasked(Context& context, const protocol::CircleId& circle);

}  // namespace ladderline::node
