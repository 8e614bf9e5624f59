#pragma once
// What a circle's next epoch key has to be like.

#include "protocol/circle/epochs.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

// For those readers, brought by a device of `by`: the paper boxes, and the boxes of at most 64 devices a member, cut
// where a key has no more copies, so that nobody keeps a key from being changed by saying that they have many. Who is
// left out asks a node that holds the key (StoreShelf::copy_for_peer). It continues the keys that the members agree on,
// or the founding key while there is no other; not_found if that one is not here.
Result<EventLog::Rotation> new_key_for(EventLog& log, const protocol::CircleId& circle,
                                       const protocol::CircleState& state, protocol::Readers readers,
                                       const protocol::MemberId& by);

// Somebody who left could fork their own log at the leaving and be there again. Whoever brings the next key and may
// remove them does it, before the key, with the cuts of their leaving: that no fork of theirs undoes. Within the
// caller's transaction.
Result<void> see_off_within(EventLog& log, const protocol::CircleId& circle, const protocol::CircleState& state,
                            const protocol::MemberId& by, WallTime now);

}  // namespace ladderline::store
