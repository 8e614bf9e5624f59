#pragma once
// Whose the device is that calls or grants. Nothing in a certificate proves that its Noise key is its own, so one key
// may stand in certificates of several members: what one of them does goes against a device only if it goes against
// all.

#include "protocol/circle/bodies.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// Present members in whose certificates the key stands: those of circles that this node's owner chose, else those of
// circles that came by a key that nobody asked for. Whoever has just let the owner in by an invite is known from a
// chosen circle, though nothing of it has come that would say who they are.
struct Owners {
    std::vector<protocol::MemberId> members;
    bool unasked_only = true;
};
Result<Owners> owners_of(sqlite::Database& db, const protocol::MemberId& me, const protocol::DhPublic& noise);

// The circle came by a key that nobody asked for: its owner did not found it, and no invite's answer, which names the
// device that let the owner in, is among its welcomes.
Result<bool> came_unasked(sqlite::Database& db, const protocol::CircleId& circle, const protocol::MemberId& me);

// In the order in which they are named where there is no room for all: those that the owner chose, then one of each
// member who brought any, then the next of each; last what came through people known from such circles alone. Among
// equals the one that is known here for longest.
Result<std::vector<protocol::CircleId>> by_turns(sqlite::Database& db, const protocol::MemberId& me,
                                                 const std::vector<protocol::CircleId>& circles);

// Devices of one member whose keys are taken for a circle that has not come yet.
inline constexpr std::size_t granters_per_member_max = 4;
// Whether a key that this device grants is taken: the circle has not shown `me` as one of its members yet, and neither
// that device nor too many of its owner's have granted a key to it.
Result<bool> takes_grant_of(sqlite::Database& db, const protocol::CircleId& circle, const protocol::MemberId& me,
                            const protocol::DhPublic& noise);

}  // namespace ladderline::store
