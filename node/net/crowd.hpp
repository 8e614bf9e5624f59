#pragma once
// Who goes when a node has more links than it keeps.

#include "store/circles/owners.hpp"

namespace ladderline::node::net {

// As long as nobody's turn: a link that stands shorter gives way to none of its like. It is as long as the longest
// pause between two calls, so that whoever is turned away and whoever gave way come back no more often than that.
inline constexpr std::int64_t turn_ms_min = 5 * 60'000;

struct CrowdLink {
    store::Owners owners;
    std::int64_t stood_ms = 0;  // since it is known whose it is
};

// The place of the one of `links` that goes for `fresh`, the place of the one that has just come. Whoever shares only
// circles that came unasked goes before everybody else, and then the member with most links, where a device of which no
// member is known counts as somebody's only one; among equals the link that stands longest. Where the fresh one is
// among them it goes itself, unless that one has had its turn.
std::size_t who_goes(const std::vector<CrowdLink>& links, std::size_t fresh);

}  // namespace ladderline::node::net
