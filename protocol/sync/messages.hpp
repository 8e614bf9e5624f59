#pragma once
// Messages of a sync session, inside the encrypted channel. One byte of type, then the strict encoding.

#include <variant>

#include "protocol/circle/bodies.hpp"
#include "protocol/sync/head_tree.hpp"
#include "protocol/sync/log_view.hpp"

namespace ladderline::protocol {

struct CircleTagTag;
using CircleTag = FixedBytes<CircleTagTag, 8>;  // names a circle inside one connection only

// The responder's first word: what it holds of every circle that it may share with the caller.
// From here on a circle is named by its number in this list.
struct HelloMessage {
    struct Entry {
        CircleTag tag;
        Root root;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(tag, root);
        }
    };
    InstanceTag instance;  // zeros without a position
    std::uint64_t arrivals = 0;
    std::vector<Entry> circles;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(instance, arrivals, codec::bounded<limits::circles_max>(circles));
    }
};

enum class HelloAnswer : std::uint8_t {
    unknown = 0,  // not a circle of the caller
    equal = 1,
    tree = 2,    // the roots differ; the caller's Tree follows
    cursor = 3,  // the roots differ; the caller's Changes follow
};
constexpr bool is_known(HelloAnswer value) {
    return value <= HelloAnswer::cursor;
}

// The caller's first word: one answer for each circle of the Hello, in its order.
struct AnswerMessage {
    InstanceTag instance;
    std::uint64_t arrivals = 0;
    std::vector<HelloAnswer> circles;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(instance, arrivals, codec::bounded<limits::circles_max>(circles));
    }
};

using CircleIndex = std::uint8_t;  // place in the Hello

// "We held the same when you were so many arrivals behind your Hello; this is what I got since."
struct ChangesMessage {
    CircleIndex circle = 0;
    std::uint64_t behind = 0;
    std::vector<LogPlace> logs;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, behind, codec::bounded<limits::heads_max>(logs));
    }
};

// One node of the head tree: the digests of its 32 children, or its logs one by one.
struct TreeNode {
    NodePath path = HeadTree::root;
    bool by_log = false;
    std::array<NodeDigest, HeadTree::fanout> digests{};  // unless by_log
    std::vector<LogPlace> logs;                          // if by_log

    template <class Archive>
    void serialize(Archive& ar) {
        ar(path, by_log);
        if (by_log) {
            ar(codec::bounded<limits::heads_max>(logs));
        } else {
            for (NodeDigest& digest : digests) ar(digest);
        }
    }
};

// One turn of a comparison. The side that has nothing more to ask goes on with Need, Run or Done.
struct TreeMessage {
    CircleIndex circle = 0;
    std::vector<TreeNode> nodes;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, codec::bounded<limits::tree_nodes_max>(nodes));
    }
};

struct RunMessage {
    struct Entry {
        LogTag log;
        Bytes run;  // encode_run_body

        template <class Archive>
        void serialize(Archive& ar) {
            ar(log, run);
        }
    };
    CircleIndex circle = 0;
    std::vector<Entry> runs;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, codec::bounded<limits::heads_max>(runs));
    }
};

// A place that names its log by where the asked side listed it, if it did.
struct NeedPlace : LogPlace {
    // Among the logs that the asked side's Tree messages of this comparison list, from 1 on; 0: the tag says it.
    std::uint32_t number = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(number);
        if (number == 0) ar(log);
        serialize_how_far(ar);
    }
};

// "This is how far I have these logs, and you have more."
struct NeedMessage {
    CircleIndex circle = 0;
    std::vector<NeedPlace> logs;
    // Logs of the peer's Changes that are here as they were then: for each, how many of the list stand between it and
    // the one before.
    std::vector<std::uint32_t> unchanged;
    bool ends_comparison = false;  // a Done is wanted once all this has been sent

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, codec::bounded<limits::heads_max>(logs), codec::bounded<limits::heads_max>(unchanged),
           ends_comparison);
    }
};

// "Our copies of this log differ somewhere: which of these events of mine is the last that you have too?" Answered
// with the events after that one.
struct ProbeMessage {
    struct Place {
        std::uint64_t next_seq = 0;
        HeadTag head;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(next_seq, head);
        }
    };
    CircleIndex circle = 0;
    LogTag log;
    std::vector<Place> places;  // the latest first

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, log, codec::bounded<limits::probe_places_max>(places));
    }
};

struct ProofMessage {
    CircleIndex circle = 0;
    ForkProof proof;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, proof);
    }
};

// "Everything that you are known to lack is sent; this is my root now, with the first `taken` of your Run, Need, Probe
// and Proof messages of this circle taken in."
struct DoneMessage {
    CircleIndex circle = 0;
    Root root;
    std::uint64_t taken = 0;
    std::uint64_t arrivals = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, root, taken, arrivals);
    }
};

// "Your Done number `which` (from 1) names the root that I have too."
struct SameMessage {
    CircleIndex circle = 0;
    std::uint64_t which = 0;
    std::uint64_t arrivals = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, which, arrivals);
    }
};

// "The roots differ though all is sent, or I cannot use your cursor: begin with the tree." Responder to caller.
struct AgainMessage {
    CircleIndex circle = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle);
    }
};

// "So many bytes of Run messages, all circles together, have been taken in."
struct AckMessage {
    std::uint64_t bytes = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bytes);
    }
};

// "You are in this circle too": the key to it, for a member's device that does not name it. Sent only
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

using SyncMessage = std::variant<HelloMessage, AnswerMessage, RunMessage, NeedMessage, DoneMessage, SameMessage,
                                 ByeMessage, GrantMessage, JoinMessage, WelcomeMessage, TreeMessage, ChangesMessage,
                                 ProbeMessage, ProofMessage, AgainMessage, AckMessage, ReturnMessage, ReturnedMessage>;

Bytes encode_message(const SyncMessage& message);
Result<SyncMessage> decode_message(ByteView bytes);

}  // namespace ladderline::protocol
