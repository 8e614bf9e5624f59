#pragma once
// New keys for circles, when somebody is gone or the key is old.

#include "node/commands/context.hpp"

namespace ladderline::node {

// A new key for the circle within the caller's transaction, if one is due and this node's owner may bring it; nothing
// otherwise. True if there is one now. The caller tells about the circle.
Result<bool> rotate_if_due_within(Context& context, const protocol::CircleId& circle);
// The same as a step of its own.
Result<bool> rotate_if_due(Context& context, const protocol::CircleId& circle);
// Every circle of this node: at its start, and once an hour. One that fails keeps no other from its key; the first
// error is given when all were looked at.
Result<void> rotate_where_due(Context& context);
// Lets a path know the public half of the owner's paper key, if it does not yet: every new key of the path is then
// sealed for the paper too. Nothing for a paper key that is not the seed of the owner's identity, and nothing for a
// club: thousands of such events would cost every member's fold more than they are worth.
Result<void> show_paper_box(Context& context, const protocol::CircleId& circle);
// Now, due or not. refused: the owner has no right to it.
Result<Done> rotate(Context& context, const CircleView& circle);

// When events of a circle have come and both sides hold the same: brings a new key if one is due, and shows the
// owner's card where none of theirs stands (after they were let in again).
Result<void> settle_circle(Context& context, const protocol::CircleId& circle);

}  // namespace ladderline::node
