#pragma once
// One number for all that a node knows of a circle: the same on every node that holds the same events and keys,
// whatever the order in which they came, and different as soon as one bit of it differs. For tests, simulations and the
// command `digest`; nothing is decided by it.
//
// BLAKE2b-256 over, in this order, in the encoding of protocol/codec:
//   - the circle, and every log of it that has events: log id, next seq, head, in order of id
//   - the state that the fold makes of the control events
//   - of every read model, in the order in which they are applied: its name, then of every table its name and columns,
//     then the circle's rows with the log's id for `log_ref`, ordered by all columns; of events beyond a fork, of which
//     every node may hold another branch, none
// It reads and sorts everything: about a second for some 100,000 events.

#include "store/event_log/event_log.hpp"

namespace ladderline::store {

struct StateDigestTag;
using StateDigest = FixedBytes<StateDigestTag, 32>;

// not_found before the founding event is here.
Result<StateDigest> state_digest(sqlite::Database& db, EventLog& log, const protocol::CircleId& circle);

}  // namespace ladderline::store
