#pragma once
// What this node holds of what members showed: who has something of a kind here, how much, and until when the club was
// allowed to have it. What was dropped is not counted.

#include <map>
#include <set>

#include "protocol/event/ids.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::node {

// Who ever showed something of a register kind that is still here.
Result<std::set<protocol::MemberId>> who_showed(store::sqlite::Database& db, const protocol::CircleId& circle,
                                                std::uint16_t kind);
// How many writes of theirs are here, replaced ones too. Left out is who has none.
Result<std::map<protocol::MemberId, int>> count_shown(store::sqlite::Database& db, const protocol::CircleId& circle,
                                                      std::uint16_t kind, const std::set<protocol::MemberId>& whose);
// The last day of the consent that each author's newest row in the club's list names, replaced or not.
Result<std::map<protocol::MemberId, Day>> consents_named(store::sqlite::Database& db, const protocol::CircleId& circle);

}  // namespace ladderline::node
