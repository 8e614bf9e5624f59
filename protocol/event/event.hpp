#pragma once
// One event: a header that anyone may check, and a body that only holders of the epoch key can read.
// The rules of a chain of events stand in chain.hpp; byte layouts in protocol/WIRE.md.

#include <vector>

#include "protocol/codec/archive.hpp"
#include "protocol/crypto/aead.hpp"
#include "protocol/event/ids.hpp"
#include "protocol/limits.hpp"

namespace ladderline::protocol {

inline constexpr std::uint8_t event_version = 1;

// What a log's id commits to; travels in the clear with the first event of the log.
struct LogOpening {
    DeviceId device;
    LogSalt salt;
    bool founding = false;  // this log's event 0 founds the circle: that header names no circle (all zeros)

    template <class Archive>
    void serialize(Archive& ar) {
        ar(device, salt, founding);
    }
    bool operator==(const LogOpening&) const = default;
};

// `circle` is all zeros for a founding log, whose circle is not yet named.
LogId log_id_of(const CircleId& circle, const LogOpening& opening);

struct EventHeader {
    std::uint8_t version = event_version;
    CircleId circle;
    LogId log;
    std::uint64_t seq = 0;
    EventId prev;              // all zeros at seq 0
    std::vector<EventId> ctl;  // control events that the author had taken in, newest heads only
    KeyId key;
    std::uint32_t body_bytes = 0;  // of the sealed body
    BodyHash body_hash;
    EventSalt salt;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(version, circle, log, seq, prev, codec::bounded<limits::control_heads_max>(ctl), key, body_bytes, body_hash,
           salt);
    }
};

struct Event {
    EventHeader header;
    Signature signature;
    Bytes sealed;
};

EventId id_of(const EventHeader& header);
BodyHash hash_of_body(ByteView sealed);
KeyId id_of_key(const AeadKey& epoch_key);

// Hybrid clock: what the author's clock said, never below what they had seen. Breaks ties, decides nothing else.
struct HybridTime {
    WallTime wall;
    std::uint32_t count = 0;
    auto operator<=>(const HybridTime&) const = default;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(wall, count);
    }
};

// The plain body. `kind` is a plain number: a kind from a newer program is kept and has no effect.
struct Body {
    HybridTime time;
    std::uint16_t kind = 0;
    std::vector<EventId> supersedes;  // writes to the same register that the author had seen
    Bytes payload;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(time, kind, codec::bounded<limits::superseded_max>(supersedes), payload);
    }
};

// Everything that decides where an event stands, given to make one.
struct EventPlace {
    CircleId circle;
    LogId log;
    std::uint64_t seq = 0;
    EventId prev;
    std::vector<EventId> ctl;
};

// Seals, chains and signs. Precondition: the encoded body fits limits::body_bytes_max.
Event make_event(const EventPlace& place, const Body& body, const AeadKey& epoch_key, const SignSecret& device_key,
                 Random& random);

// wrong_key if `epoch_key` is not the one the header names or the seal is broken; peer if the plain body is malformed.
Result<Body> open_body(const EventHeader& header, ByteView sealed, const AeadKey& epoch_key);

}  // namespace ladderline::protocol
