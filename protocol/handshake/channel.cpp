#include "protocol/handshake/channel.hpp"

namespace ladderline::protocol {
namespace {

std::size_t announced_bytes(ByteView header) {
    return static_cast<std::size_t>(header[0]) << 8 | header[1];
}

const Error dead_channel{Fault::refused, "This connection has ended; connect again."};

// Both ends count frames, so both replace the key at the same place without a word.
void rekey_if_due(CipherState& cipher) {
    if (cipher.counter() % rekey_interval_frames == 0) cipher.rekey();
}

}  // namespace

Result<std::optional<Bytes>> FrameReader::take(ByteView& input, std::size_t bytes_min, std::size_t bytes_max) {
    const auto move_up_to = [&](std::size_t size) {
        if (pending_.size() >= size) return;
        const ByteView piece = input.first(std::min(size - pending_.size(), input.size()));
        pending_.insert(pending_.end(), piece.begin(), piece.end());
        input = input.subspan(piece.size());
    };
    move_up_to(frame_header_bytes);
    if (pending_.size() < frame_header_bytes) return std::optional<Bytes>{};
    const std::size_t size = announced_bytes(pending_);
    if (size < bytes_min || size > bytes_max) {
        return Error{Fault::peer, "The other side sent a frame of a length that cannot be; nothing of it was kept."};
    }
    move_up_to(frame_header_bytes + size);
    if (pending_.size() < frame_header_bytes + size) return std::optional<Bytes>{};
    std::optional<Bytes> frame(std::in_place, pending_.begin() + frame_header_bytes, pending_.end());
    pending_.clear();
    return frame;
}

Bytes make_frame(ByteView body) {
    ENSURE(body.size() <= noise_message_bytes_max);
    Bytes out;
    out.reserve(frame_header_bytes + body.size());
    out.push_back(static_cast<std::uint8_t>(body.size() >> 8));
    out.push_back(static_cast<std::uint8_t>(body.size()));
    out.insert(out.end(), body.begin(), body.end());
    return out;
}

SecureChannel::SecureChannel(TransportCiphers ciphers) : ciphers_(std::move(ciphers)) {}

Result<Bytes> SecureChannel::seal_frame(ByteView plain) {
    ENSURE(plain.size() <= frame_plain_bytes_max);
    if (dead_) return dead_channel;
    TRY(const Bytes sealed, ciphers_.send.encrypt({}, plain));
    rekey_if_due(ciphers_.send);
    return make_frame(sealed);
}

Result<void> SecureChannel::on_bytes(ByteView bytes) {
    if (dead_) return dead_channel;
    dead_ = true;  // until every frame in here has been found good
    while (!bytes.empty()) {
        TRY(const auto sealed, reader_.take(bytes, aead_tag_bytes, noise_message_bytes_max));
        if (!sealed) break;
        TRY(Bytes plain, ciphers_.receive.decrypt({}, *sealed));
        rekey_if_due(ciphers_.receive);
        frames_.push_back(std::move(plain));
    }
    dead_ = false;
    return ok();
}

Result<void> SecureChannel::on_end() {
    if (dead_) return dead_channel;
    dead_ = true;
    if (reader_.inside_frame()) {
        return Error{Fault::peer,
                     "The connection ended in the middle of a message; what came whole before it was kept."};
    }
    return ok();
}

std::optional<Bytes> SecureChannel::next_frame() {
    if (frames_.empty()) return std::nullopt;
    std::optional<Bytes> frame = std::move(frames_.front());
    frames_.pop_front();
    return frame;
}

}  // namespace ladderline::protocol
