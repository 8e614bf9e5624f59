#pragma once
// Who ticks an item that is not the newcomer's own to tick, and how they get there.

#include "node/commands/way.hpp"

namespace ladderline::node {

// One or two sentences for whoever looks: "Ticked by guardian, on their own machine." Of the two items that a minor's
// way begins with also the next command, for the person in that seat, or for the newcomer while nobody is in it.
std::string who_ticks(const Context& context, const WayView& view, const domain::Item& item);

}  // namespace ladderline::node
