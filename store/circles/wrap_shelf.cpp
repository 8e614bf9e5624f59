#include "store/circles/wrap_shelf.hpp"

#include <algorithm>

#include "protocol/circle/epochs.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

// More than one if a certificate names somebody else's Noise key: nobody proves in it that the key is their own.
// Whoever is at the other end holds that key, and is not shut out by what others certify.
std::vector<DeviceCertificate> devices_with(const CircleState& state, const DhPublic& noise) {
    std::vector<DeviceCertificate> out;
    for (const auto& [id, device] : state.devices) {
        if (device.noise == noise && state.present_member(id)) out.push_back(device);
    }
    return out;
}

bool may_any_read(const CircleState& state, const std::vector<DeviceCertificate>& devices, const KeyId& key,
                  Day today) {
    return std::any_of(devices.begin(), devices.end(),
                       [&](const DeviceCertificate& device) { return may_read(state, device.device, key, today); });
}

Result<std::optional<Wrap>> kept_copy(sqlite::Database& db, const CircleId& circle, const KeyId& key,
                                      const WrapTag& tag) {
    std::optional<Wrap> copy;
    TRY(db.query(
        "SELECT copy FROM wrap WHERE circle = ?1 AND key_id = ?2 AND tag = ?3",
        [&](const sqlite::Row& row) -> Result<void> {
            TRY(copy, codec::decode<Wrap>(row.blob(0)));
            return ok();
        },
        circle, key, tag));
    return copy;
}

}  // namespace

Result<std::vector<KeyId>> StoreShelf::missing_keys(const CircleId& circle) {
    return log_.missing_keys(circle);
}

Result<std::optional<Wrap>> StoreShelf::copy_for_peer(const CircleId& circle, const KeyId& key, const WrapTag& tag) {
    const auto state = states_.of(circle);
    if (!state) return std::optional<Wrap>();
    auto owners = devices_with(*state.value(), peer_);
    if (owners.empty()) return std::optional<Wrap>();
    std::erase_if(owners, [&](const DeviceCertificate& device) { return tag != tag_of(key, device.box); });
    const bool is_own = !owners.empty();
    if (is_own && !may_any_read(*state.value(), owners, key, today_)) return std::optional<Wrap>();
    TRY(auto kept, kept_copy(states_.db(), circle, key, tag));
    if (kept || !is_own) return kept;
    TRY(const auto held, log_.find_key(circle, key));
    if (!held) return std::optional<Wrap>();
    return std::optional<Wrap>(wrap_freshly(*held, owners.front().box, random_));
}

Result<void> StoreShelf::take_key(const CircleId& circle, const AeadKey& key) {
    return log_.add_key(circle, key);
}

Result<std::optional<AeadKey>> key_for_device(KnownStates& states, EventLog& log, const CircleId& circle,
                                              const DhPublic& noise, Day today) {
    const auto state = states.of(circle);
    if (!state) return std::optional<AeadKey>();
    const auto devices = devices_with(*state.value(), noise);
    auto key = log.current_key(circle);
    if (!key || !may_any_read(*state.value(), devices, id_of_key(key.value()), today)) {
        return std::optional<AeadKey>();
    }
    return std::optional<AeadKey>(std::move(key).value());
}

}  // namespace ladderline::store
