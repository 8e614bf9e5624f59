#include "node/net/crowd.hpp"

#include <algorithm>
#include <map>

#include "protocol/base/ensure.hpp"

namespace ladderline::node::net {

std::size_t who_goes(const std::vector<CrowdLink>& links, std::size_t fresh) {
    ENSURE(fresh < links.size());
    std::map<protocol::MemberId, std::size_t> count;
    for (const CrowdLink& link : links) {
        for (const protocol::MemberId& member : link.owners.members) ++count[member];
    }
    const auto weight = [&](const CrowdLink& link) {
        std::size_t fewest = link.owners.members.empty() ? 1 : links.size();
        for (const protocol::MemberId& member : link.owners.members) fewest = std::min(fewest, count[member]);
        return std::pair(link.owners.unasked_only, fewest);
    };
    const auto heaviest = std::max_element(links.begin(), links.end(), [&](const CrowdLink& a, const CrowdLink& b) {
        return std::pair(weight(a), a.stood_ms) < std::pair(weight(b), b.stood_ms);
    });
    if (weight(*heaviest) == weight(links[fresh]) && heaviest->stood_ms < turn_ms_min) return fresh;
    return static_cast<std::size_t>(heaviest - links.begin());
}

}  // namespace ladderline::node::net
