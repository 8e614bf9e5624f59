#pragma once
// What pages about pairings share.

#include "node/commands/pairing.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

Html sentences(const std::vector<std::string>& lines);
// Where the buttons of a proposal lead.
struct PairAddresses {
    Url agree;
    std::optional<Url> ask = {};
};
// One line of a proposal, with its buttons.
Html pair_line(const Scene& scene, const PairLine& line, const PairAddresses& to);
// What waits for this node's owner about a pairing, with the way to their page; empty if nothing does.
Html pairing_notice(const Scene& scene);
// The whole proposal, or why there is none.
Html pairing_part(const Scene& scene, const Url& agree);

}  // namespace ladderline::node::web
