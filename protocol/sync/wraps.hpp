#pragma once
// Epoch keys on their way to devices: copies sealed one by one to X25519 box keys, a hash tree over them whose root
// stands in the rotation, and the two messages by which a device asks for the copy that is its own.
//
//   asks       keys named by events that it cannot read, each with the tag of its box key
//   answered   with the stored copy, or with a fresh one if the asked side holds the key and the asking device may read
//
// An epoch key proves itself: its id is its hash, and events name that id. The hash tree lets whoever keeps copies
// for others tell a genuine one without opening it.

#include <optional>
#include <set>

#include "protocol/circle/bodies.hpp"

namespace ladderline::protocol {

struct WrapTagTag;
using WrapTag = FixedBytes<WrapTagTag, 16>;  // names a copy without naming the device

inline constexpr std::size_t wrap_bytes = AeadKey::size + 48;  // a sealed box around an epoch key

struct Wrap {
    WrapTag tag;
    Bytes box;                    // wrap_bytes
    std::uint16_t place = 0;      // among the copies in order of tag
    std::vector<WrapRoot> proof;  // neighbours on the way to the root, the nearest first; empty for a fresh copy

    template <class Archive>
    void serialize(Archive& ar) {
        ar(tag, codec::bounded<wrap_bytes>(box), place, codec::bounded<limits::wrap_proof_max>(proof));
    }
    bool operator==(const Wrap&) const = default;
};

WrapTag tag_of(const KeyId& key, const DhPublic& box);

struct WrappedKey {
    WrapRoot root;
    std::vector<Wrap> copies;  // in order of tag
};
// One copy for each different box key. bad_input for none, or for more than limits::wrap_copies_max.
Result<WrappedKey> wrap_key(const AeadKey& key, const std::vector<DhPublic>& boxes, Random& random);
// A copy that stands under no root.
Wrap wrap_freshly(const AeadKey& key, const DhPublic& box, Random& random);
// True if the copy is one of those under the root.
bool is_under(const Wrap& wrap, const WrapRoot& root);
// wrong_key if the box is another's, or if the key inside is not the one named.
Result<AeadKey> unwrap(const Wrap& wrap, const KeyId& key, const DhKeys& box);

// "These keys I lack."
struct WrapRequestMessage {
    struct Wish {
        KeyId key;
        WrapTag tag;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(key, tag);
        }
    };
    CircleId circle;
    std::vector<Wish> wishes;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, codec::bounded<limits::list_max>(wishes));
    }
};

// "Here is what I have of them." Keys that are not answered may be asked for elsewhere.
struct WrapAnswerMessage {
    struct Copy {
        KeyId key;
        Wrap wrap;

        template <class Archive>
        void serialize(Archive& ar) {
            ar(key, wrap);
        }
    };
    CircleId circle;
    std::vector<Copy> copies;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, codec::bounded<limits::list_max>(copies));
    }
};

// Type bytes of the two, far from those of messages.hpp.
inline constexpr std::uint8_t wrap_request_type = 64;
inline constexpr std::uint8_t wrap_answer_type = 65;
constexpr bool is_wrap_message(std::uint8_t type) {
    return type == wrap_request_type || type == wrap_answer_type;
}

Bytes encode_wrap_message(const WrapRequestMessage& message);
Bytes encode_wrap_message(const WrapAnswerMessage& message);

// What a book of wraps asks of whatever holds keys and copies.
class WrapShelf {
public:
    virtual ~WrapShelf() = default;
    // Keys that stored events of the circle name and that are not held: those to ask for first in front. Some twice.
    virtual Result<std::vector<KeyId>> missing_keys(const CircleId& circle) = 0;
    // The copy for that tag, whoever's it is; or a fresh one, if it is the peer's own and the peer may read.
    virtual Result<std::optional<Wrap>> copy_for_peer(const CircleId& circle, const KeyId& key, const WrapTag& tag) = 0;
    virtual Result<void> take_key(const CircleId& circle, const AeadKey& key) = 0;
};

// One connection's part in it. Sans-IO; beside the sync session, in the same channel.
class WrapBook {
public:
    // `shelf` outlives the book. `circles`: those that both ends share.
    WrapBook(WrapShelf& shelf, DhKeys box, std::vector<CircleId> circles);
    // Copies for this box are asked for too: that of the owner's paper key.
    void also_opens(DhKeys box) { boxes_.push_back(std::move(box)); }

    // A request for keys that are missing in the circle now and were not asked for on this connection; none if there
    // is none. To be called at the start and whenever events of the circle arrived.
    Result<std::optional<Bytes>> next_request(const CircleId& circle);
    // A message whose type is_wrap_message. Gives the answer to a request, and the next request to an answer.
    // Fault::peer for bytes that make no sense and for an answer about a circle in which no request waits for one; a
    // request about a circle that is not shared is passed over, and a copy that does not open is left alone.
    Result<std::optional<Bytes>> on_message(ByteView message);
    // A request of this side's has no answer yet.
    bool awaits_answer() const { return !open_.empty(); }
    // Circles that became more readable since the last call.
    std::vector<CircleId> take_opened() { return std::exchange(opened_, {}); }

private:
    Result<std::optional<Bytes>> on_request(const WrapRequestMessage& request);
    Result<void> on_answer(const WrapAnswerMessage& answer);
    bool is_shared(const CircleId& circle) const;

    WrapShelf& shelf_;
    std::vector<DhKeys> boxes_;
    std::vector<CircleId> circles_;
    std::set<std::pair<CircleId, KeyId>> asked_;
    std::multiset<CircleId> open_;  // of requests that were not answered yet
    std::vector<CircleId> opened_;
};

}  // namespace ladderline::protocol
