#pragma once
// Who belongs to a circle, worked out the slow way: every question is answered from the whole set of events anew, with
// plain sets and no order of evaluation that anything could hang on. Only what a single act says and needs
// (protocol/circle/acts.hpp) is shared with the production fold.

#include <map>
#include <set>

#include "protocol/circle/acts.hpp"

namespace ladderline::simulation {

// Cuts with what they were extended by, which a plain reading has in them already.
inline std::map<protocol::DeviceId, protocol::Cuts> all_lost(const protocol::CircleState& state) {
    std::map<protocol::DeviceId, protocol::Cuts> out;
    for (const auto& [device, lost] : state.revoked) out.emplace(device, state.cuts_of(device));
    return out;
}
inline std::map<protocol::MemberId, protocol::Cuts> all_cuts(const protocol::CircleState& state) {
    std::map<protocol::MemberId, protocol::Cuts> out;
    for (const auto& [member, cuts] : state.cuts) out.emplace(member, state.cuts_of(member));
    return out;
}

class PlainCircle {
public:
    using Ids = std::set<protocol::EventId>;

    PlainCircle(const protocol::CircleId& circle, const std::vector<protocol::ControlEvent>& events);

    // Members, devices, revoked devices, cuts and returns; heads, epochs and consent are left out.
    protocol::CircleState state() const { return state_of(lawful_); }
    Ids without_effect() const;

private:
    using EventId = protocol::EventId;
    using MemberId = protocol::MemberId;

    struct Known {
        const protocol::ControlEvent* event = nullptr;
        protocol::Act act;
        Ids past;
        MemberId author;
        MemberId removed;  // by a removal
        Ids rests_on;
        bool is_return = false;
    };
    // A state, and the events that made members, roles and devices what they are in it.
    struct Standing {
        protocol::CircleState state;
        std::map<MemberId, EventId> member_by;
        std::map<MemberId, EventId> role_by;
        std::map<protocol::DeviceId, EventId> device_by;
    };

    bool is_ready(const protocol::ControlEvent& event) const;
    Ids links_of(const protocol::ControlEvent& event) const;
    void judge(Known& known);
    void rest_on(Known& known, const EventId& support) const;
    Standing standing_of(const Ids& set) const;
    protocol::CircleState state_of(const Ids& set) const { return standing_of(set).state; }
    void carry_out(Standing& standing, const Known& known, const Ids& so_far) const;
    void settle(protocol::CircleState& state, const MemberId& member, const Ids& so_far) const;
    void settle_cuts(protocol::CircleState& state, const MemberId& member, const Ids& removals,
                     const Ids& so_far) const;
    void list_returns(protocol::CircleState& state, const Ids& standing) const;

    bool is_removal(const EventId& id) const;
    const MemberId& removed_by(const EventId& id) const { return at(id).removed; }
    bool voids(const EventId& removal, const EventId& event) const;
    bool hits(const EventId& removal, const EventId& event) const;
    bool reaches(const EventId& from, const EventId& to, const Ids& set) const;
    bool stands(const EventId& id, const Ids& set) const;
    Ids standing_in(const Ids& set) const;
    const Known& at(const EventId& id) const { return known_.at(id); }

    EventId founding_;
    std::vector<protocol::ControlEvent> events_;
    std::vector<EventId> order_;  // causal, ties by smallest id
    std::map<EventId, Known> known_;
    Ids lawful_;  // whose authors had the right
    mutable std::map<std::pair<EventId, EventId>, bool> hits_;
};

}  // namespace ladderline::simulation
