#pragma once
// What hangs on all standing control events together. Part of the fold (fold.cpp); events are positions in its order.

#include <functional>
#include <set>

#include "protocol/circle/acts.hpp"
#include "protocol/circle/removals.hpp"

namespace ladderline::protocol {

// What a rotation says of itself, as its author knew the circle.
Epoch epoch_of(const ControlEvent& event, const MemberId& author, const RotateBody& body, const CircleState& past,
               std::size_t joined);

// All of it lives as long as this.
struct Timeline {
    const std::vector<const ControlEvent*>& events;
    const std::vector<Act>& acts;
    const std::vector<Bits>& past;
    const Bits& standing;

    // Of members who are back: their latest standing return, and all standing events that build on it.
    void list_returns(CircleState& state, const std::set<std::size_t>& returns) const;
    // Of several words about consent made side by side: taken back goes before given, the earlier day before the later.
    std::optional<Consent> consent(const std::function<MemberId(std::size_t)>& author_of) const;
    // Epochs that no other follows, in the order in which they are written under, and whether each is stale.
    // `returns`: all that were allowed.
    void list_epochs(CircleState& state, const std::vector<std::size_t>& rotations,
                     const std::set<std::size_t>& returns, const std::function<MemberId(std::size_t)>& author_of,
                     const std::function<Epoch(std::size_t)>& epoch_at) const;
    std::size_t index_of(const EventId& id) const;
};

}  // namespace ladderline::protocol
