#pragma once
// As many as possible of one side given to places of another, costs aside.
// Source: Hopcroft & Karp, SIAM J. Comput. 2 (1973), with places of more than one.

#include <cstdint>
#include <vector>

namespace ladderline::domain {

// adjacent[i]: the places that i may get, as indices into `places` (how many each takes, >= 0). The answer is by i, -1
// for those left out. Same input, same answer. O(edges sqrt(places)).
std::vector<std::int32_t> largest_matching(const std::vector<std::vector<std::uint32_t>>& adjacent,
                                           const std::vector<std::int32_t>& places);

}  // namespace ladderline::domain
