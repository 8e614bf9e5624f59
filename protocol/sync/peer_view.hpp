#pragma once
// What a peer is known to hold of one circle, or was sent: heads that were found equal, and what is known beside them.

#include <map>

#include "protocol/sync/root.hpp"

namespace ladderline::protocol {

struct PeerPlace {
    std::uint64_t next_seq = 0;
    std::optional<std::uint64_t> fork = std::nullopt;  // the fork that the peer knows of
};

class PeerView {
public:
    // The peer holds just this, as far as is known; `heads` in order of log id.
    void assume(std::vector<LogHead> heads);
    void set(const LogId& log, const PeerPlace& place) { told_[log] = place; }
    PeerPlace at(const LogId& log) const;
    // Whether more is known of the log than what was assumed.
    bool is_told(const LogId& log) const { return told_.contains(log); }

private:
    std::vector<LogHead> assumed_;
    std::map<LogId, PeerPlace> told_;
};

}  // namespace ladderline::protocol
