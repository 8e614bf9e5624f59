#pragma once
// Sync messages as pieces of an input: changed by field, or put in new.

#include "protocol/sync/messages.hpp"
#include "tests/fuzz/engine/pieces.hpp"
#include "tests/fuzz/engine/tweaker.hpp"

namespace ladderline::fuzz {

template <std::size_t I = 0>
protocol::SyncMessage random_message(std::size_t which, test::SeededRandom& random) {
    if constexpr (I + 1 < std::variant_size_v<protocol::SyncMessage>) {
        if (which != I) return random_message<I + 1>(which, random);
    }
    return test::random_value<std::variant_alternative_t<I, protocol::SyncMessage>>(random);
}

inline Bytes random_message_bytes(test::SeededRandom& random) {
    const std::size_t which = below(random, std::variant_size_v<protocol::SyncMessage>);
    return protocol::encode_message(random_message(which, random));
}

// One message with one field changed; bytes that are no message are nibbled at.
inline Bytes tweaked_message(const Bytes& bytes, test::SeededRandom& random) {
    const std::size_t how = below(random, 16);
    if (how == 0) return random_message_bytes(random);
    Result<protocol::SyncMessage> message = protocol::decode_message(bytes);
    if (how == 1 || !message) return nibbled(bytes, random);
    std::visit([&](auto& m) { tweak(m, random); }, message.value());
    return protocol::encode_message(message.value());
}

}  // namespace ladderline::fuzz
