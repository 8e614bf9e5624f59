#pragma once
// What a circle's next epoch key has to be like.

#include "protocol/circle/epochs.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

// For those readers: the boxes of their devices and their paper boxes. It continues the keys that the members agree on,
// or the founding key while there is no other; not_found if that one is not here.
Result<EventLog::Rotation> new_key_for(EventLog& log, const protocol::CircleId& circle,
                                       const protocol::CircleState& state, protocol::Readers readers);

}  // namespace ladderline::store
