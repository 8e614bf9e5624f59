#include "store/circles/wrap_shelf.hpp"

#include "protocol/circle/epochs.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

std::optional<DeviceCertificate> device_with(const CircleState& state, const DhPublic& noise) {
    for (const auto& [id, device] : state.devices) {
        if (device.noise == noise && state.present_member(id)) return device;
    }
    return std::nullopt;
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
    const auto peer = device_with(*state.value(), peer_);
    if (!peer) return std::optional<Wrap>();
    const bool is_own = tag == tag_of(key, peer->box);
    if (is_own && !may_read(*state.value(), peer->device, key, today_)) return std::optional<Wrap>();
    TRY(auto kept, kept_copy(states_.db(), circle, key, tag));
    if (kept || !is_own) return kept;
    TRY(const auto held, log_.find_key(circle, key));
    if (!held) return std::optional<Wrap>();
    return std::optional<Wrap>(wrap_freshly(*held, peer->box, random_));
}

Result<void> StoreShelf::take_key(const CircleId& circle, const AeadKey& key) {
    return log_.add_key(circle, key);
}

Result<std::optional<AeadKey>> key_for_device(KnownStates& states, EventLog& log, const CircleId& circle,
                                              const DhPublic& noise, Day today) {
    const auto state = states.of(circle);
    if (!state) return std::optional<AeadKey>();
    const auto device = device_with(*state.value(), noise);
    auto key = log.current_key(circle);
    if (!device || !key || !may_read(*state.value(), device->device, id_of_key(key.value()), today)) {
        return std::optional<AeadKey>();
    }
    return std::optional<AeadKey>(std::move(key).value());
}

}  // namespace ladderline::store
