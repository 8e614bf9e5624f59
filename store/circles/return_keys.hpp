#pragma once
// Which keys somebody is given who comes back with their paper key.

#include "store/circles/known_states.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

// Of the newest epoch_keys_max keys of the circle those that the device may read on that day, as if the circle showed
// its certificate already; oldest first. None for a device that was lost, and none for one of nobody in the circle.
Result<std::vector<protocol::AeadKey>> keys_for_return(KnownStates& states, EventLog& log,
                                                       const protocol::CircleId& circle,
                                                       const protocol::DeviceCertificate& device, Day today);

}  // namespace ladderline::store
