#include "node/net/crowd.hpp"

#include <algorithm>
#include <map>

#include "protocol/base/ensure.hpp"

namespace ladderline::node::net {

std::size_t who_goes(const std::vector<store::Owners>& links) {
    ENSURE(!links.empty());
    std::map<protocol::MemberId, std::size_t> count;
    for (const store::Owners& owners : links) {
        for (const protocol::MemberId& member : owners.members) ++count[member];
    }
    const auto weight = [&](const store::Owners& owners) {
        std::size_t fewest = links.size();
        for (const protocol::MemberId& member : owners.members) fewest = std::min(fewest, count[member]);
        return std::pair(owners.unasked_only, fewest);
    };
    const auto heaviest = std::max_element(links.begin(), links.end(),
                                           [&](const auto& a, const auto& b) { return weight(a) < weight(b); });
    return static_cast<std::size_t>(heaviest - links.begin());
}

}  // namespace ladderline::node::net
