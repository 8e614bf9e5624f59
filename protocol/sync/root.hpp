#pragma once
// What two nodes compare: the heads of a circle's logs, and the one digest of them all.

#include <optional>
#include <vector>

#include "protocol/event/ids.hpp"

namespace ladderline::protocol {

struct RootTag;
using Root = FixedBytes<RootTag, 32>;

struct LogHead {
    LogId log;
    std::uint64_t next_seq = 0;                        // events held that count
    EventId head;                                      // of the last of them; zeros if there is none
    std::optional<std::uint64_t> fork = std::nullopt;  // seq at which the log is proven to fork; next_seq <= fork

    template <class Archive>
    void serialize(Archive& ar) {
        ar(log, next_seq, head, fork);
    }
    bool operator==(const LogHead&) const = default;
};

// Digest of all heads of a circle, given in order of log id. Equal roots: equal events that count, and the same forks
// known.
Root root_of(const CircleId& circle, const std::vector<LogHead>& heads);

}  // namespace ladderline::protocol
