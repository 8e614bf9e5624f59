#pragma once
// One start for one host and several others: which starts suit most of them, and whom they do not suit.

#include "node/domain/meeting/common_times.hpp"

namespace ladderline::domain {

struct SharedStart {
    WallTime start;
    std::vector<std::size_t> missing;  // places in `others` whom it does not suit
};

// Starts on the grid of 30 minutes UTC inside the host's spans that leave room for `minutes`: those that suit most
// others first, earlier ones first among equals, at least 12 hours apart and at most `count`. Starts that suit nobody
// are left out; those that meet a taken time too. Preconditions: all spans sorted and without overlap; minutes > 0.
// O(starts x (others x log spans)).
std::vector<SharedStart> shared_starts(std::span<const TimeSpan> host, std::span<const std::vector<TimeSpan>> others,
                                       std::span<const TimeSpan> taken, std::int64_t minutes, std::size_t count);

}  // namespace ladderline::domain
