#pragma once
// News without a connection: one part of a bundle, as it lies in a file (protocol/WIRE.md, section 9).
//
//   label     in the clear: which key opens it, and the start of the stream
//   frames    sealed, each with its length before it:  head, [grant], [holds], proof ..., run ..., end
//
// A part is whole in itself: every run that the reader can build on is good without the other parts. Frames are
// authentic one by one, so what came before a cut is good too. One way only: nothing here expects an answer.

#include <functional>
#include <variant>

#include "protocol/circle/bodies.hpp"
#include "protocol/crypto/secret_stream.hpp"
#include "protocol/sync/log_view.hpp"

namespace ladderline::protocol {

struct BundleIdTag;
struct BundleNameTag;
struct BundleBoxTag;
using BundleId = FixedBytes<BundleIdTag, 16>;      // random; the same in all parts of one bundle
using BundleName = FixedBytes<BundleNameTag, 16>;  // hash of all bytes of a part; names its file
using BundleBox = FixedBytes<BundleBoxTag, 80>;    // the stream's secret, sealed to one device

enum class BundleSeal : std::uint8_t {
    circle = 1,  // under the circle's epoch key
    device = 2,  // to the box key of one device that has no key of the circle yet
};
constexpr bool is_known(BundleSeal s) {
    return s == BundleSeal::circle || s == BundleSeal::device;
}

BundleName name_of_bundle(ByteView part);
// What a device's box key is called in the label.
KeyId name_of_box_key(const DhPublic& box);

struct BundleHead {
    CircleId circle;
    BundleId bundle;
    std::uint16_t part = 1;  // from 1
    DeviceId writer;
    std::optional<MemberId> reader;  // whom it was written for; none: anybody in the circle
    Root root;                       // of all that the writer held of the circle

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle, bundle, part, writer, reader, root);
    }
    bool operator==(const BundleHead&) const = default;
};

// The circle's key, for a device that has none. In a part that is sealed to this device, and nowhere else.
struct BundleGrant {
    Bytes key;            // epoch key, 32 bytes
    Signature signature;  // of the head's writer over grant_message()

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<AeadKey::size>(key), signature);
    }
};
// What a grant's writer signs: who gets which key of which circle.
Bytes grant_message(const BundleHead& head, ByteView key, const DhPublic& to);

// What the writer holds of the circle; in order of log id, no log twice. It must fit into one frame.
struct BundleHolds {
    std::vector<LogHead> heads;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::heads_max>(heads));
    }
};

struct BundleRun {
    std::optional<EventId> before;  // the event that the run builds on; none exactly if the run begins its log
    Run run;
};

struct BundleEnd {
    bool last = false;       // of all parts of this bundle
    std::uint32_t runs = 0;  // in this part

    template <class Archive>
    void serialize(Archive& ar) {
        ar(last, runs);
    }
    bool operator==(const BundleEnd&) const = default;
};

using BundleFrame = std::variant<BundleHead, BundleGrant, BundleHolds, ForkProof, BundleRun, BundleEnd>;

// How a part is to be sealed.
struct BundleLock {
    BundleSeal seal = BundleSeal::circle;
    KeyId key;      // id of the epoch key, or name_of_box_key
    BundleBox box;  // for a device only
    StreamHeader stream;
    AeadKey secret;  // that the stream's key is made from; never in the file

    static BundleLock under(const AeadKey& epoch_key, Random& random);
    static BundleLock to_device(const DhPublic& box_key, Random& random);
};

// Makes one part.
class BundleWriter {
public:
    BundleWriter(const BundleLock& lock, const BundleHead& head);

    // First, at most once each and in this order.
    void add(const BundleGrant& grant);
    void add(const BundleHolds& holds);
    // Before the first run. Precondition: there is room for a run of that size.
    void add(const ForkProof& proof);
    // Whether any part can hold a run of that many encoded bytes. A frame is dearer than a session's message, so a
    // stretch that came by one may not fit.
    static bool can_ever_hold(std::size_t run_bytes);
    // Whether a run of that many encoded bytes keeps the part within limits::bundle_bytes_max.
    bool has_room_for(std::size_t run_bytes) const;
    // `run`: encode_run. Precondition: there is room.
    void add_run(const std::optional<EventId>& before, ByteView run);
    std::uint32_t runs() const { return runs_; }
    Bytes finish(bool last) &&;

private:
    void add_frame(std::uint8_t type, ByteView fields, bool final);

    Bytes label_;
    SecretStream stream_;
    Bytes out_;
    std::uint32_t runs_ = 0;
};

// The keys that a reader has.
class BundleKeys {
public:
    virtual ~BundleKeys() = default;
    // The epoch key of that id; none if it is not here.
    virtual std::optional<AeadKey> circle_key(const KeyId& key) = 0;
    // What is in the box, if `key` names this device's box key and the box opens with it.
    virtual std::optional<AeadKey> open_box(const KeyId& key, const BundleBox& box) = 0;
};

// Reads one part, however its bytes come. Errors are one sentence each, and final:
//   bad_input    no bundle, or larger than one may be
//   unsupported  a newer form
//   not_found    sealed with a key that is not here
//   damaged      changed, or (from finish) cut short; frames given out before are good
//   peer         genuine, but not what a writer of this form writes
class BundleReader {
public:
    explicit BundleReader(BundleKeys& keys) : keys_(keys) {}

    void feed(ByteView bytes);
    // The next frame; none: feed more, or finish.
    Result<std::optional<BundleFrame>> next();
    // No bytes are left: ok only if the part came to its end.
    Result<void> finish() const;

private:
    Result<bool> read_label();
    Result<std::optional<Bytes>> next_plain();
    Result<BundleFrame> read_frame(ByteView plain);
    ByteView waiting() const { return ByteView(buffer_).subspan(used_); }

    BundleKeys& keys_;
    Bytes buffer_;
    std::size_t used_ = 0;
    std::size_t total_ = 0;
    Bytes label_;
    BundleSeal seal_ = BundleSeal::circle;
    std::optional<SecretStream> stream_;
    std::uint8_t last_type_ = 0;
    std::uint32_t runs_ = 0;
    bool final_ = false;
    std::optional<Error> failed_;
};

// Reads a whole part, one piece of it a step, so that its memory stays at about one frame and whoever has more to do
// gets to it in between. The one door for bytes from outside.
class BundleSteps {
public:
    static constexpr std::size_t piece_bytes = 64 * 1024;

    // Both outlive it.
    BundleSteps(ByteView part, BundleKeys& keys);

    // Hands on each frame that the next piece completes. False: that was the end. No step after an error, of `take`
    // too.
    Result<bool> step(const std::function<Result<void>(BundleFrame)>& take);

private:
    ByteView part_;
    BundleReader reader_;
};

}  // namespace ladderline::protocol
