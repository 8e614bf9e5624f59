#pragma once
// Who is in a circle, by id alone: much less to read than people() with their cards.

#include <set>

#include "protocol/circle/bodies.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::node {

Result<std::set<protocol::MemberId>> members_present(store::sqlite::Database& db, const protocol::CircleId& circle);
// Those in one seat.
Result<std::set<protocol::MemberId>> members_present(store::sqlite::Database& db, const protocol::CircleId& circle,
                                                     protocol::MemberRole role);

}  // namespace ladderline::node
