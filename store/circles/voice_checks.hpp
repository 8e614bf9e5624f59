#pragma once
// Whose check words were compared by voice when this node first met them. Known here alone.

#include <map>

#include "protocol/circle/bodies.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// The latest day stands.
Result<void> note_voice_check(sqlite::Database& db, const protocol::MemberId& member, Day day);
Result<std::map<protocol::MemberId, Day>> voice_checks(sqlite::Database& db);

}  // namespace ladderline::store
