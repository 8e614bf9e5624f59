#pragma once
// What a connection's book of wraps (protocol/sync/wraps.hpp) works on: this store's keys and the copies kept in it.

#include "protocol/sync/wraps.hpp"
#include "store/circles/known_states.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

class StoreShelf : public protocol::WrapShelf {
public:
    // `states`, `log` and `random` outlive the shelf. `peer`: the key that the other end of the connection proved.
    StoreShelf(KnownStates& states, EventLog& log, Random& random, const protocol::DhPublic& peer)
        : states_(states), log_(log), random_(random), peer_(peer) {}

    // The calendar by which a consent is in force or not; before every request of the peer's.
    void set_today(Day today) { today_ = today; }

    Result<std::vector<protocol::KeyId>> missing_keys(const protocol::CircleId& circle) override;
    Result<std::optional<protocol::Wrap>> copy_for_peer(const protocol::CircleId& circle, const protocol::KeyId& key,
                                                        const protocol::WrapTag& tag) override;
    Result<void> take_key(const protocol::CircleId& circle, const protocol::AeadKey& key) override;

private:
    KnownStates& states_;
    EventLog& log_;
    Random& random_;
    protocol::DhPublic peer_;
    Day today_{};
};

// The key that a connection with that device may be given at once: the current one, if the device may read it on that
// day. Everything that hands out a key asks here.
Result<std::optional<protocol::AeadKey>> key_for_device(KnownStates& states, EventLog& log,
                                                        const protocol::CircleId& circle,
                                                        const protocol::DhPublic& noise, Day today);

}  // namespace ladderline::store
