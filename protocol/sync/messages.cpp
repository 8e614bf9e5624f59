#include "protocol/sync/messages.hpp"

namespace ladderline::protocol {
namespace {

template <std::size_t I = 0>
Result<SyncMessage> decode_as(std::uint8_t type, ByteView rest) {
    if constexpr (I == std::variant_size_v<SyncMessage>) {
        return Error{Fault::peer, "A sync message has an unknown type."};
    } else {
        if (type != I + 1) return decode_as<I + 1>(type, rest);
        TRY(auto message, codec::decode<std::variant_alternative_t<I, SyncMessage>>(rest));
        return SyncMessage{std::move(message)};
    }
}

}  // namespace

Bytes encode_message(const SyncMessage& message) {
    codec::Writer ar;
    ar.put(static_cast<std::uint8_t>(message.index() + 1));
    std::visit([&](const auto& m) { ar(m); }, message);
    return ar.take();
}

Result<SyncMessage> decode_message(ByteView bytes) {
    if (bytes.empty()) return Error{Fault::peer, "A sync message is empty."};
    return decode_as(bytes.front(), bytes.subspan(1));
}

}  // namespace ladderline::protocol
