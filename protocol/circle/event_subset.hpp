#pragma once
// Some of a circle's events, for sets of which there are many: the ids stand once for all of them.

#include <memory>
#include <set>
#include <vector>

#include "protocol/circle/bits.hpp"
#include "protocol/event/ids.hpp"

namespace ladderline::protocol {

class EventSubset {
public:
    using Ids = std::vector<EventId>;  // in order, each once

    EventSubset() = default;
    // None of them yet.
    explicit EventSubset(std::shared_ptr<const Ids> all) : all_(std::move(all)) {}
    explicit EventSubset(const std::set<EventId>& ids);

    // By its place among all.
    void add(std::size_t place) { chosen_.set(place); }
    bool contains(const EventId& id) const;
    Ids ids() const;
    bool operator==(const EventSubset& other) const { return ids() == other.ids(); }

private:
    std::shared_ptr<const Ids> all_ = std::make_shared<const Ids>();
    Bits chosen_;
};

}  // namespace ladderline::protocol
