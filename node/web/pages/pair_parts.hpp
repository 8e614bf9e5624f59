#pragma once
// What pages about pairings share.

#include <algorithm>

#include "node/commands/pairing.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

Html sentences(const std::vector<std::string>& lines);
// The first of a list that would make a page heavy, and what is said of the people left out; nothing if none are.
template <class T>
std::vector<T> first_of(const std::vector<T>& all, std::size_t most) {
    return {all.begin(), all.begin() + static_cast<std::ptrdiff_t>(std::min(all.size(), most))};
}
Html and_more(std::size_t all, std::size_t shown);
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
