#pragma once
// Checks on one set of events: its order of arrival, a rebuild, and events without effect change nothing.

#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

void check_set(World& world, const Circle& circle, Node& node, Dice& dice);
// The same events and keys in another order give this digest; empty, or what is wrong.
std::string check_another_order(Node& node, const protocol::CircleId& circle, Planted planted, Dice& dice);
// The log of that event is proven to fork at or before it, as the node knows.
bool is_forked_away(Node& node, Node& author, const protocol::EventId& id);

}  // namespace ladderline::simulation
