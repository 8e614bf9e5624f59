#pragma once
// A solved proposal in words; used by the pairing commands alone.

#include <limits>

#include "node/commands/pair_tables.hpp"
#include "node/commands/pairing.hpp"

namespace ladderline::node {

inline constexpr std::size_t everybody = std::numeric_limits<std::size_t>::max();
inline constexpr std::size_t would_like_max = 2;  // mentors whom a newcomer may name

// Lines are made for `lines_max` newcomers from number `first` on; the counts are of all.
PairProposal in_words(const Proposed& proposed, std::size_t first = 0, std::size_t lines_max = everybody);

}  // namespace ladderline::node
