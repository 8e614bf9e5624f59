#pragma once
// The keys of a circle that are held here, in the order in which they are of use.

#include "protocol/crypto/aead.hpp"
#include "protocol/event/ids.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// At most `count_max`: first the key that is written under, then those that the circle's founding and its changes of
// key with effect brought, the newest first, then the others, the one first that came here last. Any member may link to
// keys of their own making, which stand among the others. As long as the circle has not come, all are others.
Result<std::vector<protocol::AeadKey>> held_keys(sqlite::Database& db, const protocol::CircleId& circle,
                                                 std::size_t count_max);

}  // namespace ladderline::store
