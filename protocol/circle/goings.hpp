#pragma once
// The goings of one member: removals, lost devices, and what undoes them. Part of the fold (fold.cpp); events are
// positions in its order.

#include "protocol/circle/acts.hpp"
#include "protocol/circle/removals.hpp"

namespace ladderline::protocol {

class Goings {
public:
    enum class What : std::uint8_t { removal, revocation, extension, comeback };

    void add(What what, std::size_t i) { events_[static_cast<std::size_t>(what)].push_back(i); }
    // Writes the member's presence and cuts into the state. True if the member is present.
    bool settle(CircleState& state, const MemberId& member, const std::vector<Act>& acts,
                const std::vector<Bits>& past) const;

private:
    const std::vector<std::size_t>& all(What what) const { return events_[static_cast<std::size_t>(what)]; }
    // Removals that no later removal, made after a return, has replaced.
    std::vector<std::size_t> removals_in_force(const std::vector<Bits>& past) const;
    bool is_back(const std::vector<Bits>& past) const;

    std::array<std::vector<std::size_t>, 4> events_;
};

}  // namespace ladderline::protocol
