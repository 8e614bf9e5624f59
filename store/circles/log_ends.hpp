#pragma once
// The ends of logs, as they are named by an event that removes somebody, reports a device lost, leaves or takes back.

#include <functional>

#include "protocol/circle/state.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// The end of every log of those devices, as far as it is known here and counts; of more than an event can name, the
// longest. The id is zero where less counts than is held.
Result<std::vector<protocol::Cut>> log_ends(sqlite::Database& db, const protocol::CircleId& circle,
                                            const protocol::CircleState& state,
                                            const std::function<bool(const protocol::DeviceCertificate&)>& is_meant);

}  // namespace ladderline::store
