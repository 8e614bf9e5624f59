#pragma once
// What else could be done than the pairs proposed: on the board of a small club, on a page of its own in a big one.

#include "node/commands/pair_board.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// Fair, who would rather swap, present pairs kept.
Html pair_else_part(const PairBoard& board);
// One mentor more or less.
Html what_if_part(const PairBoard& board);
Html pair_weights_part();
Result<Response> pair_else_page(const Scene& scene);

}  // namespace ladderline::node::web
