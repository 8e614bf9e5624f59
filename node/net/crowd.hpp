#pragma once
// Who goes when a node has more links than it keeps.

#include "store/circles/owners.hpp"

namespace ladderline::node::net {

// The place of one of `links`, the oldest of which comes first; there is at least one. Whoever shares only circles that
// came unasked goes before everybody else; among equals the member with most links, and of these the oldest.
std::size_t who_goes(const std::vector<store::Owners>& links);

}  // namespace ladderline::node::net
