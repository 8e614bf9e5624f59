#include "protocol/sync/peer_view.hpp"

#include <algorithm>

namespace ladderline::protocol {

void PeerView::assume(std::vector<LogHead> heads) {
    assumed_ = std::move(heads);
    told_.clear();
}

PeerPlace PeerView::at(const LogId& log) const {
    if (const auto told = told_.find(log); told != told_.end()) return told->second;
    const auto found = std::lower_bound(assumed_.begin(), assumed_.end(), log,
                                        [](const LogHead& head, const LogId& id) { return head.log < id; });
    if (found == assumed_.end() || found->log != log) return {};
    return {found->next_seq, found->fork};
}

}  // namespace ladderline::protocol
