#pragma once
// What a courier and its callers say to one another, inside the encrypted channel: one byte of type (20 to 29), then
// the strict encoding. Once access is granted an ordinary sync session (protocol/sync/messages.hpp, types 1 to 18) and
// wrap messages (64, 65) go beside these.
//
//   registrar  Place, over xx_psk0 under a code of the courier's keeper    courier  Placed
//   visitor    Access, over ik with a key made for this one call           courier  AccessAnswer, then its Hello
//   registrar  Renew, Stop                                                 courier  Said
//   courier    Full, when it cannot take more; Receipt, when both hold the same
//
// The courier is never told a key, a name, or which device calls.

#include <variant>

#include "protocol/codec/archive.hpp"
#include "protocol/courier/bodies.hpp"
#include "protocol/crypto/aead.hpp"
#include "protocol/event/ids.hpp"
#include "protocol/handshake/noise.hpp"
#include "protocol/limits.hpp"
#include "protocol/sync/root.hpp"

namespace ladderline::protocol {

struct AccessHintTag;
using AccessHint = FixedBytes<AccessHintTag, 8>;  // tells access keys apart without showing one

// 20. Keep this circle for whoever holds the secret half of `access`.
struct PlaceMessage {
    CircleId circle;
    SignPublic access;     // of the circle's current epoch key
    SignPublic registrar;  // fresh; signs what changes or ends the place

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, access, registrar);
    }
};

// Within PlacedMessage clang would take it for a class that nobody can make yet.
struct GivenPlace {
    DhPublic noise;
    SignPublic signing;
    std::uint64_t quota_bytes = 0;
    std::uint32_t days = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(noise, signing, quota_bytes, days);
    }
    bool operator==(const GivenPlace&) const = default;
};

// 21. A refusal carries the sentence alone.
struct PlacedMessage {
    using Place = GivenPlace;
    std::optional<Place> place;
    std::string refusal;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(place, codec::bounded<limits::line_bytes_max>(refusal));
    }
};

// 22. "I belong to these circles", proven for this connection alone.
struct AccessMessage {
    struct Claim {
        CircleId circle;
        SignPublic access;
        Signature proof;  // over access_proof

        template <class Archive>
        void serialize(Archive& ar) {
            ar(circle, access, proof);
        }
    };
    std::vector<Claim> claims;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::circles_max>(claims));
    }
};

enum class AccessVerdict : std::uint8_t {
    granted = 0,
    unknown = 1,     // no place for such a circle, or no longer
    other_key = 2,   // another access key is expected; `hint` names it
    former_key = 3,  // the key was good before the circle's last change of key: copies may be asked for, nothing else
};
constexpr bool is_known(AccessVerdict value) {
    return value <= AccessVerdict::former_key;
}

// 23. One entry for each claim, in its order.
struct AccessAnswerMessage {
    struct Entry {
        AccessVerdict verdict = AccessVerdict::unknown;
        AccessHint hint;               // of the key that is expected; zeros if unknown
        bool full = false;             // granted: nothing more is taken
        std::uint64_t used_bytes = 0;  // granted
        std::vector<KeyId> copies;     // former_key: epoch keys of which sealed copies are kept

        template <class Archive>
        void serialize(Archive& ar) {
            ar(verdict, hint, full, used_bytes, codec::bounded<limits::list_max>(copies));
        }
    };
    std::vector<Entry> entries;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::circles_max>(entries));
    }
};

// 24. The circle has a new epoch key.
struct RenewMessage {
    CircleId circle;
    SignPublic access;
    Signature by_registrar;  // over renew_proof

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, access, by_registrar);
    }
};

// 25. Remove everything of the circle, now.
struct StopMessage {
    CircleId circle;
    Signature by_registrar;  // over stop_proof

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, by_registrar);
    }
};

enum class CourierSaid : std::uint8_t {
    renewed = 0,
    stopped = 1,
    unknown = 2,        // no place for such a circle
    not_registrar = 3,  // the signature is not the registrar's
};
constexpr bool is_known(CourierSaid value) {
    return value <= CourierSaid::not_registrar;
}

// 26. The answer to Renew and Stop.
struct SaidMessage {
    CircleId circle;
    CourierSaid said = CourierSaid::unknown;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, said);
    }
};

enum class FullReason : std::uint8_t {
    place = 0,  // the place is used up
    log = 1,    // one log grew by too much within a day
};
constexpr bool is_known(FullReason value) {
    return value <= FullReason::log;
}

// 27. "Later": what was just sent is not kept. Reading goes on.
struct FullMessage {
    CircleId circle;
    FullReason reason = FullReason::place;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, reason);
    }
};

// 28. "I hold what this root names." Signed with the key that the circle's event names.
struct Receipt {
    CircleId circle;
    Root root;
    std::uint64_t arrivals = 0;  // of the courier's store then
    WallTime at;                 // its clock
    std::uint32_t days = 0;
    Signature by_courier;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, root, arrivals, at, days, by_courier);
    }
    bool operator==(const Receipt&) const = default;
};

// 29. Whoever was just let into circles may find them here too. Sent by the host behind its Welcome or Returned, to
// somebody who cannot read yet what the circles say of their couriers; it counts only until they can.
struct KnownCouriersMessage {
    struct Entry {
        CircleId circle;
        CourierBody courier;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(circle, courier);
        }
    };
    std::vector<Entry> couriers;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::circles_max * limits::couriers_max>(couriers));
    }
};

using CourierMessage = std::variant<PlaceMessage, PlacedMessage, AccessMessage, AccessAnswerMessage, RenewMessage,
                                    StopMessage, SaidMessage, FullMessage, Receipt, KnownCouriersMessage>;

inline constexpr std::uint8_t courier_type_first = 20;
constexpr bool is_courier_message(std::uint8_t type) {
    return type >= courier_type_first && type < courier_type_first + std::variant_size_v<CourierMessage>;
}

Bytes encode_courier_message(const CourierMessage& message);
Result<CourierMessage> decode_courier_message(ByteView bytes);

// The pair by which whoever holds an epoch key proves it to a courier. The courier learns the public half alone.
SignKeys access_keys(const CircleId& circle, const AeadKey& epoch_key);
AccessHint hint_of(const SignPublic& access);

AccessMessage::Claim make_claim(const CircleId& circle, const SignKeys& access, const HandshakeHash& handshake);
bool is_genuine(const AccessMessage::Claim& claim, const HandshakeHash& handshake);
RenewMessage make_renewal(const CircleId& circle, const SignPublic& access, const SignSecret& registrar,
                          const HandshakeHash& handshake);
bool is_genuine(const RenewMessage& message, const SignPublic& registrar, const HandshakeHash& handshake);
StopMessage make_stop(const CircleId& circle, const SignSecret& registrar, const HandshakeHash& handshake);
bool is_genuine(const StopMessage& message, const SignPublic& registrar, const HandshakeHash& handshake);
// Fills in the signature.
void sign_receipt(Receipt& receipt, const SignSecret& courier);
bool is_genuine(const Receipt& receipt, const SignPublic& courier);

}  // namespace ladderline::protocol
