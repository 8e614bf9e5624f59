#pragma once
// Messages of a sync session, inside the encrypted channel. One byte of type, then the strict encoding.

#include <variant>

#include "protocol/circle/bodies.hpp"
#include "protocol/sync/log_view.hpp"

namespace ladderline::protocol {

struct CircleTagTag;
using CircleTag = FixedBytes<CircleTagTag, 8>;  // names a circle inside one connection only

// First word of both sides: for every circle they share, the root of what they hold.
struct HelloMessage {
    struct Entry {
        CircleTag tag;
        Root root;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(tag, root);
        }
    };
    std::vector<Entry> circles;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::circles_max>(circles));
    }
};

struct HeadsMessage {
    CircleTag tag;
    std::vector<LogHead> heads;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(tag, codec::bounded<limits::heads_max>(heads));
    }
};

struct RunMessage {
    CircleTag tag;
    Bytes run;  // encode_run

    template <class Archive>
    void serialize(Archive& ar) {
        ar(tag, run);
    }
};

// "Your run began past what I hold; I need this log from `next_seq`."
struct NeedMessage {
    CircleTag tag;
    LogId log;
    std::uint64_t next_seq = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(tag, log, next_seq);
    }
};

// "All runs that you lacked are sent."
struct SentMessage {
    CircleTag tag;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(tag);
    }
};

// "All your runs are stored; this is my root now."
struct RootMessage {
    CircleTag tag;
    Root root;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(tag, root);
    }
};

// "You are in this circle too": the key to it, for a member's device that does not name it in its Hello. Sent only
// inside a connection whose other end proved to be that device.
struct GrantMessage {
    CircleId circle;
    Bytes key;  // epoch key, 32 bytes

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, codec::bounded<AeadKey::size>(key));
    }
};

// Joining by invite (xx_psk0): who comes. `port` is where the newcomer's node listens, 0 if it does not.
struct JoinMessage {
    DeviceCertificate device;
    std::string name;
    bool is_minor = false;
    std::uint16_t port = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(device, codec::bounded<limits::name_bytes_max>(name), is_minor, port);
    }
};

// The answer: what was joined, and the device to sync with from now on. A refusal carries the sentence alone.
struct WelcomeMessage {
    struct Joined {
        CircleId circle;
        Bytes key;
        DeviceCertificate host;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(circle, codec::bounded<AeadKey::size>(key), host);
        }
    };
    std::optional<Joined> joined;
    std::string refusal;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(joined, codec::bounded<limits::line_bytes_max>(refusal));
    }
};

// A member who comes back on a new device (xx_psk0 with return_invite and return_psk): the device, and the member
// identity's signature over this very connection.
struct ReturnMessage {
    DeviceCertificate device;
    Signature by_member;  // over return_proof

    template <class Archive>
    void serialize(Archive& ar) {
        ar(device, by_member);
    }
};

// The answer: every circle that both are present in, with all its epoch keys, and the device to sync with from now on.
// A refusal carries the sentence alone.
struct ReturnedMessage {
    struct CircleKeys {
        CircleId circle;
        Bytes keys;  // epoch keys of 32 bytes, oldest first; new events are sealed under the last

        template <class Archive>
        void serialize(Archive& ar) {
            ar(circle, codec::bounded<limits::epoch_keys_max * AeadKey::size>(keys));
        }
    };
    struct Back {
        std::vector<CircleKeys> circles;
        DeviceCertificate host;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(codec::bounded<limits::circles_max>(circles), host);
        }
    };
    std::optional<Back> back;
    std::string refusal;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(back, codec::bounded<limits::line_bytes_max>(refusal));
    }
};

// Explicit end; a stream that ends without it was cut.
struct ByeMessage {
    template <class Archive>
    void serialize(Archive&) {}
};

using SyncMessage = std::variant<HelloMessage, HeadsMessage, RunMessage, NeedMessage, SentMessage, RootMessage,
                                 ByeMessage, GrantMessage, JoinMessage, WelcomeMessage, ReturnMessage, ReturnedMessage>;

Bytes encode_message(const SyncMessage& message);
Result<SyncMessage> decode_message(ByteView bytes);

}  // namespace ladderline::protocol
