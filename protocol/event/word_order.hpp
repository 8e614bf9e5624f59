#pragma once
// The order of words that several members say about one thing: causality first, clocks break ties and no more.

#include "protocol/event/event.hpp"

namespace ladderline::protocol {

struct PlacedWord {
    std::int64_t log = 0;  // by whichever number the reader knows the log
    std::int64_t seq = 0;
    HybridTime time;
    EventId id;
    std::vector<EventId> seen = {};  // words that this one supersedes, as far as the reader heeds that
};

// Places in `words`, in the order of (time, id), but that each word stands behind those before it in its log and those
// it had seen: these move up in front of it, whatever their own times say. So one word that is said after a clock was
// put right takes the weight of all that was stamped while it was wrong. Where no time goes back this is the order of
// (time, id). The same for the same words, however they came.
std::vector<std::size_t> order_of(const std::vector<PlacedWord>& words);

}  // namespace ladderline::protocol
