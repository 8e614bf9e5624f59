#include "protocol/circle/event_subset.hpp"

#include <algorithm>

namespace ladderline::protocol {

EventSubset::EventSubset(const std::set<EventId>& ids) : all_(std::make_shared<const Ids>(ids.begin(), ids.end())) {
    for (std::size_t place = 0; place < all_->size(); ++place) chosen_.set(place);
}

bool EventSubset::contains(const EventId& id) const {
    const auto at = std::lower_bound(all_->begin(), all_->end(), id);
    return at != all_->end() && *at == id && chosen_.has(static_cast<std::size_t>(at - all_->begin()));
}

EventSubset::Ids EventSubset::ids() const {
    Ids out;
    chosen_.for_each([&](std::size_t place) { out.push_back((*all_)[place]); });
    return out;
}

}  // namespace ladderline::protocol
