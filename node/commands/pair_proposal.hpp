#pragma once
// A solved proposal in words; used by the pairing commands alone.

#include "node/commands/pair_tables.hpp"
#include "node/commands/pairing.hpp"

namespace ladderline::node {

inline constexpr std::size_t would_like_max = 2;  // mentors whom a newcomer may name

PairProposal in_words(const Proposed& proposed);

}  // namespace ladderline::node
