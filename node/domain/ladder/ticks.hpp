#pragma once
// The ticks of one item that stand, where not only the latest counts: a call sign may change, and what was sent under
// the earlier one stays sent.

#include <span>
#include <vector>

#include "node/domain/ladder/record.hpp"

namespace ladderline::domain {

// Of statements about one item, in any order; the latest last, which is ItemState::tick.
std::vector<Mark> standing_ticks(std::span<const Statement> statements);

}  // namespace ladderline::domain
