#include "protocol/sync/bundle.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::string_view magic = "LADDERB";
constexpr std::uint8_t bundle_version = 1;
constexpr std::size_t label_bytes = 8 + 1 + KeyId::size + StreamHeader::size;
constexpr std::size_t length_bytes = 4;
constexpr std::size_t frame_bytes_max = limits::message_bytes_max + stream_overhead_bytes;
// type, optional id of the event before
constexpr std::size_t run_overhead_bytes = 1 + 1 + EventId::size;
// type, last, count of runs
constexpr std::size_t end_bytes_max = 1 + 1 + 5;

constexpr std::uint8_t head_type = 1;
constexpr std::uint8_t grant_type = 2;
constexpr std::uint8_t holds_type = 3;
constexpr std::uint8_t proof_type = 4;
constexpr std::uint8_t run_type = 5;
constexpr std::uint8_t end_type = 6;

AeadKey stream_key(const AeadKey& secret) {
    AeadKey key;
    blake2b(key.mutable_view(), {as_bytes("ladderline bundle key 1")}, secret.view());
    return key;
}

Bytes label_of(const BundleLock& lock) {
    Bytes out = to_bytes(as_bytes(magic));
    out.push_back(bundle_version);
    out.push_back(static_cast<std::uint8_t>(lock.seal));
    out.insert(out.end(), lock.key.data.begin(), lock.key.data.end());
    out.insert(out.end(), lock.stream.data.begin(), lock.stream.data.end());
    if (lock.seal == BundleSeal::device) out.insert(out.end(), lock.box.data.begin(), lock.box.data.end());
    return out;
}

std::size_t sealed_size(std::size_t plain) {
    return length_bytes + plain + stream_overhead_bytes;
}

bool in_order(const std::vector<LogHead>& heads) {
    const auto not_before = [](const LogHead& a, const LogHead& b) { return !(a.log < b.log); };
    return std::adjacent_find(heads.begin(), heads.end(), not_before) == heads.end();
}

Error odd(const std::string& what) {
    return {Fault::peer, "This bundle is genuine but not well made: " + what + "; what came before it was kept."};
}

const Error no_bundle{Fault::bad_input, "This is no bundle of Ladderline; nothing was taken in."};
const Error changed{Fault::damaged,
                    "The bytes of this bundle were changed on the way; what came before the change was kept, ask for "
                    "the file again."};

template <class T>
Result<BundleFrame> frame_of(ByteView fields) {
    auto decoded = codec::decode<T>(fields);
    if (!decoded) return odd("a frame cannot be read");
    return BundleFrame(std::move(decoded).value());
}

Result<BundleFrame> run_frame(ByteView fields) {
    if (fields.empty() || fields[0] > 1) return odd("a frame cannot be read");
    BundleRun out;
    std::size_t used = 1;
    if (fields[0] == 1) {
        if (fields.size() < 1 + EventId::size) return odd("a frame cannot be read");
        out.before = EventId::from(fields.subspan(1, EventId::size));
        used += EventId::size;
    }
    auto run = decode_run(fields.subspan(used));
    if (!run) return odd("a run of events cannot be read");
    out.run = std::move(run).value();
    if (out.before.has_value() != (out.run.first_seq > 0)) return odd("a run does not say what it builds on");
    return BundleFrame(std::move(out));
}

}  // namespace

BundleName name_of_bundle(ByteView part) {
    return hash_as<BundleName>("ladderline bundle file 1", {part});
}

KeyId name_of_box_key(const DhPublic& box) {
    return hash_as<KeyId>("ladderline bundle box 1", {box.view()});
}

Bytes grant_message(const BundleHead& head, ByteView key, const DhPublic& to) {
    struct GrantHashTag;
    using GrantHash = FixedBytes<GrantHashTag, 32>;
    const GrantHash hash = hash_as<GrantHash>(
        "ladderline bundle grant 1", {head.circle.view(), head.writer.view(), head.bundle.view(), to.view(), key});
    return to_bytes(hash.view());
}

BundleLock BundleLock::under(const AeadKey& epoch_key, Random& random) {
    return {BundleSeal::circle, id_of_key(epoch_key), {}, random.draw<StreamHeader>(), epoch_key.clone()};
}

BundleLock BundleLock::to_device(const DhPublic& box_key, Random& random) {
    BundleLock out{
        BundleSeal::device, name_of_box_key(box_key), {}, random.draw<StreamHeader>(), AeadKey::random(random)};
    out.box = BundleBox::from(seal_box(out.secret.view(), box_key, random));
    return out;
}

BundleWriter::BundleWriter(const BundleLock& lock, const BundleHead& head)
    : label_(label_of(lock)), stream_(stream_key(lock.secret), lock.stream), out_(label_) {
    ENSURE(head.part > 0);
    add_frame(head_type, codec::encode(head), false);
}

void BundleWriter::add_frame(std::uint8_t type, ByteView fields, bool final) {
    Bytes plain{type};
    plain.insert(plain.end(), fields.begin(), fields.end());
    const Bytes sealed = stream_.seal(label_, plain, final);
    ENSURE(sealed.size() <= frame_bytes_max);
    for (std::size_t i = 0; i < length_bytes; ++i) out_.push_back(static_cast<std::uint8_t>(sealed.size() >> (8 * i)));
    out_.insert(out_.end(), sealed.begin(), sealed.end());
}

void BundleWriter::add(const BundleGrant& grant) {
    ENSURE(grant.key.size() == AeadKey::size && runs_ == 0);
    add_frame(grant_type, codec::encode(grant), false);
}

void BundleWriter::add(const BundleHolds& holds) {
    ENSURE(in_order(holds.heads) && runs_ == 0);
    add_frame(holds_type, codec::encode(holds), false);
}

void BundleWriter::add(const ForkProof& proof) {
    const Bytes fields = codec::encode(proof);
    ENSURE(has_room_for(fields.size()) && runs_ == 0);
    add_frame(proof_type, fields, false);
}

bool BundleWriter::can_ever_hold(std::size_t run_bytes) {
    return run_overhead_bytes + run_bytes <= limits::message_bytes_max;
}

bool BundleWriter::has_room_for(std::size_t run_bytes) const {
    return can_ever_hold(run_bytes) &&
           out_.size() + sealed_size(run_overhead_bytes + run_bytes) + sealed_size(end_bytes_max) <=
               limits::bundle_bytes_max;
}

void BundleWriter::add_run(const std::optional<EventId>& before, ByteView run) {
    ENSURE(has_room_for(run.size()));
    Bytes fields{static_cast<std::uint8_t>(before.has_value())};
    if (before) fields.insert(fields.end(), before->data.begin(), before->data.end());
    fields.insert(fields.end(), run.begin(), run.end());
    add_frame(run_type, fields, false);
    ++runs_;
}

Bytes BundleWriter::finish(bool last) && {
    add_frame(end_type, codec::encode(BundleEnd{last, runs_}), true);
    return std::move(out_);
}

void BundleReader::feed(ByteView bytes) {
    if (failed_) return;
    total_ += bytes.size();
    if (total_ > limits::bundle_bytes_max) {
        failed_.emplace(Fault::bad_input, "This file is larger than a bundle may be; nothing more of it was taken in.");
        return;
    }
    buffer_.erase(buffer_.begin(), buffer_.begin() + static_cast<std::ptrdiff_t>(used_));
    used_ = 0;
    buffer_.insert(buffer_.end(), bytes.begin(), bytes.end());
}

Result<bool> BundleReader::read_label() {
    const ByteView bytes = waiting();
    const std::size_t shown = std::min(bytes.size(), magic.size());
    if (as_text(bytes.first(shown)) != magic.substr(0, shown)) return no_bundle;
    if (bytes.size() > magic.size() && bytes[magic.size()] != bundle_version) {
        return Error{Fault::unsupported,
                     "This bundle was made by a newer Ladderline; nothing was taken in. Install the newer program."};
    }
    if (bytes.size() < label_bytes) return false;
    const auto seal = static_cast<BundleSeal>(bytes[8]);
    if (!is_known(seal)) return no_bundle;
    const std::size_t size = label_bytes + (seal == BundleSeal::device ? BundleBox::size : 0);
    if (bytes.size() < size) return false;
    const KeyId key = KeyId::from(bytes.subspan(9, KeyId::size));
    const StreamHeader header = StreamHeader::from(bytes.subspan(9 + KeyId::size, StreamHeader::size));
    std::optional<AeadKey> secret;
    if (seal == BundleSeal::circle)
        secret = keys_.circle_key(key);
    else
        secret = keys_.open_box(key, BundleBox::from(bytes.subspan(label_bytes, BundleBox::size)));
    if (!secret) {
        return Error{
            Fault::not_found,
            seal == BundleSeal::circle
                ? "This bundle is sealed with a key that is not here: it is for a circle that you are not in, "
                  "or its key has not reached you yet, then ask for one written with --with-key; nothing was taken in."
                : "This bundle is sealed to another device, or was changed; nothing was taken in."};
    }
    stream_.emplace(stream_key(*secret), header);
    seal_ = seal;
    label_ = to_bytes(bytes.first(size));
    used_ += size;
    return true;
}

Result<std::optional<Bytes>> BundleReader::next_plain() {
    if (!stream_) {
        TRY(const bool read, read_label());
        if (!read) return std::optional<Bytes>();
    }
    const ByteView bytes = waiting();
    if (final_) {
        if (!bytes.empty()) return odd("there are bytes behind its end");
        return std::optional<Bytes>();
    }
    if (bytes.size() < length_bytes) return std::optional<Bytes>();
    std::size_t size = 0;
    for (std::size_t i = 0; i < length_bytes; ++i) size |= static_cast<std::size_t>(bytes[i]) << (8 * i);
    if (size < stream_overhead_bytes + 1 || size > frame_bytes_max) return changed;
    if (bytes.size() - length_bytes < size) return std::optional<Bytes>();
    auto opened = stream_->open(label_, bytes.subspan(length_bytes, size));
    if (!opened) return changed;
    used_ += length_bytes + size;
    final_ = opened.value().last;
    return std::optional(std::move(opened).value().plain);
}

Result<BundleFrame> BundleReader::read_frame(ByteView plain) {
    const std::uint8_t type = plain[0];
    const ByteView fields = plain.subspan(1);
    const bool first = last_type_ == 0;
    const bool may_repeat = type == proof_type || type == run_type;
    const bool in_place = may_repeat ? type >= last_type_ : type > last_type_;
    if (first != (type == head_type) || !in_place || type > end_type) return odd("a frame is out of its place");
    if (final_ != (type == end_type)) return odd("it ends in the wrong place");
    if ((type == grant_type) != (seal_ == BundleSeal::device && last_type_ == head_type))
        return odd("a key is out of its place");
    last_type_ = type;
    switch (type) {
        case head_type: {
            TRY(auto frame, frame_of<BundleHead>(fields));
            if (std::get<BundleHead>(frame).part == 0) return odd("its part has no number");
            return frame;
        }
        case grant_type: {
            TRY(auto frame, frame_of<BundleGrant>(fields));
            if (std::get<BundleGrant>(frame).key.size() != AeadKey::size) return odd("a key has the wrong length");
            return frame;
        }
        case holds_type: {
            TRY(auto frame, frame_of<BundleHolds>(fields));
            if (!in_order(std::get<BundleHolds>(frame).heads)) return odd("a list is out of order");
            return frame;
        }
        case proof_type:
            return frame_of<ForkProof>(fields);
        case run_type:
            ++runs_;
            return run_frame(fields);
        default:
            break;
    }
    TRY(auto frame, frame_of<BundleEnd>(fields));
    if (std::get<BundleEnd>(frame).runs != runs_) return odd("its count of runs is wrong");
    return frame;
}

Result<std::optional<BundleFrame>> BundleReader::next() {
    if (failed_) return *failed_;
    auto plain = next_plain();
    if (!plain) {
        failed_ = plain.error();
        return *failed_;
    }
    if (!plain.value()) return std::optional<BundleFrame>();
    auto frame = read_frame(*plain.value());
    wipe(*plain.value());
    if (!frame) {
        failed_ = frame.error();
        return *failed_;
    }
    return std::optional(std::move(frame).value());
}

Result<void> BundleReader::finish() const {
    if (failed_) return *failed_;
    if (final_) return ok();
    if (total_ == 0) return no_bundle;
    return Error{Fault::damaged,
                 "This bundle was cut short on the way; what came before the cut was kept, ask for the file again."};
}

BundleSteps::BundleSteps(ByteView part, BundleKeys& keys) : part_(part), reader_(keys) {
    if (part.size() > limits::bundle_bytes_max) reader_.feed(part);  // refused before anything is read
}

Result<bool> BundleSteps::step(const std::function<Result<void>(BundleFrame)>& take) {
    const std::size_t size = std::min(part_.size(), piece_bytes);
    reader_.feed(part_.first(size));
    part_ = part_.subspan(size);
    for (;;) {
        TRY(auto frame, reader_.next());
        if (!frame) break;
        TRY(take(std::move(*frame)));
    }
    if (!part_.empty()) return true;
    TRY(reader_.finish());
    return false;
}

}  // namespace ladderline::protocol
