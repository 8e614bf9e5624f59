#include "store/circles/return_keys.hpp"

#include <algorithm>

#include "protocol/circle/epochs.hpp"
#include "store/circles/held_keys.hpp"

namespace ladderline::store {

using namespace protocol;

Result<std::vector<AeadKey>> keys_for_return(KnownStates& states, const CircleId& circle,
                                             const DeviceCertificate& device, Day today) {
    const auto known = states.of(circle);
    if (!known) return std::vector<AeadKey>();
    CircleState state = *known.value();
    state.devices.insert_or_assign(device.device, device);
    TRY(auto keys, held_keys(states.db(), circle, limits::epoch_keys_max));
    std::erase_if(keys, [&](const AeadKey& key) { return !may_read(state, device.device, id_of_key(key), today); });
    std::reverse(keys.begin(), keys.end());
    return keys;
}

}  // namespace ladderline::store
