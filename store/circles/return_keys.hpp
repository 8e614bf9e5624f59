#pragma once
// Which keys somebody is given who comes back with their paper key.

#include "store/circles/known_states.hpp"

namespace ladderline::store {

// Of the first epoch_keys_max keys of the circle (held_keys.hpp) those that the device may read on that day, as if the
// circle showed its certificate already; the one that is written under last, before it the older ones. None for a
// device that was lost, and none for one of nobody in the circle.
Result<std::vector<protocol::AeadKey>> keys_for_return(KnownStates& states, const protocol::CircleId& circle,
                                                       const protocol::DeviceCertificate& device, Day today);

}  // namespace ladderline::store
