#include "protocol/event/event.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

XNonce body_nonce(const EventHeader& header) {
    std::array<std::uint8_t, 8> seq{};
    for (std::size_t i = 0; i < seq.size(); ++i) seq[i] = static_cast<std::uint8_t>(header.seq >> (8 * i));
    return hash_as<XNonce>("ladderline body nonce 1", {header.log.view(), seq, header.prev.view(), header.salt.view()});
}

// All that the header says before the body exists.
Bytes associated_data(EventHeader header) {
    header.body_bytes = 0;
    header.body_hash = {};
    return codec::encode(header);
}

}  // namespace

LogId log_id_of(const CircleId& circle, const LogOpening& opening) {
    const std::array<std::uint8_t, 1> founding{static_cast<std::uint8_t>(opening.founding)};
    return hash_as<LogId>("ladderline log 1", {circle.view(), opening.device.view(), opening.salt.view(), founding});
}

EventId id_of(const EventHeader& header) {
    const Bytes encoded = codec::encode(header);
    return hash_as<EventId>("ladderline event 1", {encoded});
}

BodyHash hash_of_body(ByteView sealed) {
    return hash_as<BodyHash>("ladderline body 1", {sealed});
}

KeyId id_of_key(const AeadKey& epoch_key) {
    return hash_as<KeyId>("ladderline epoch 1", {epoch_key.view()});
}

Event make_event(const EventPlace& place, const Body& body, const AeadKey& epoch_key, const SignSecret& device_key,
                 Random& random) {
    Event out;
    EventHeader& header = out.header;
    header.circle = place.circle;
    header.log = place.log;
    header.seq = place.seq;
    header.prev = place.prev;
    header.ctl = place.ctl;
    header.key = id_of_key(epoch_key);
    header.salt = random.draw<EventSalt>();
    const Bytes plain = codec::encode(body);
    ENSURE(plain.size() + aead_tag_bytes <= limits::body_bytes_max);
    out.sealed = xseal(epoch_key, body_nonce(header), associated_data(header), plain);
    header.body_bytes = static_cast<std::uint32_t>(out.sealed.size());
    header.body_hash = hash_of_body(out.sealed);
    out.signature = sign(id_of(header).view(), device_key);
    return out;
}

Result<Body> open_body(const EventHeader& header, ByteView sealed, const AeadKey& epoch_key) {
    if (id_of_key(epoch_key) != header.key) return Error{Fault::wrong_key, "The event was sealed under another key."};
    TRY(const Bytes plain, xopen(epoch_key, body_nonce(header), associated_data(header), sealed));
    return codec::decode<Body>(plain);
}

}  // namespace ladderline::protocol
