#include "protocol/handshake/message_stream.hpp"

#include <limits>

namespace ladderline::protocol {
namespace {

constexpr std::size_t length_bytes = 4;

}  // namespace

MessageReader::MessageReader(std::size_t message_bytes_max) : message_bytes_max_(message_bytes_max) {
    ENSURE(message_bytes_max <= std::numeric_limits<std::uint32_t>::max());
}

Result<void> MessageReader::on_header_byte(std::uint8_t byte) {
    announced_ |= static_cast<std::uint32_t>(byte) << (8 * header_size_);
    ++header_size_;
    if (header_size_ < length_bytes || announced_ <= message_bytes_max_) return ok();
    return Error{Fault::peer, "The other side announced a message that is longer than this program accepts."};
}

Result<void> MessageReader::on_plain(ByteView plain) {
    if (dead_) return Error{Fault::refused, "This connection has ended; connect again."};
    dead_ = true;  // until all of it has been found good
    while (!plain.empty()) {
        if (header_size_ < length_bytes) {
            TRY(on_header_byte(plain.front()));
            plain = plain.subspan(1);
        } else {
            const ByteView piece = plain.first(std::min(announced_ - body_.size(), plain.size()));
            body_.insert(body_.end(), piece.begin(), piece.end());
            plain = plain.subspan(piece.size());
        }
        if (header_size_ == length_bytes && body_.size() == announced_) {
            messages_.push_back(std::exchange(body_, {}));
            header_size_ = 0;
            announced_ = 0;
        }
    }
    dead_ = false;
    return ok();
}

std::optional<Bytes> MessageReader::next() {
    if (messages_.empty()) return std::nullopt;
    std::optional<Bytes> message = std::move(messages_.front());
    messages_.pop_front();
    return message;
}

void put_message(Bytes& plain, ByteView message) {
    ENSURE(message.size() <= std::numeric_limits<std::uint32_t>::max());
    for (std::size_t i = 0; i < length_bytes; ++i) {
        plain.push_back(static_cast<std::uint8_t>(message.size() >> (8 * i)));
    }
    plain.insert(plain.end(), message.begin(), message.end());
}

Result<Bytes> seal_plain(SecureChannel& channel, ByteView plain) {
    Bytes out;
    while (!plain.empty()) {
        const ByteView piece = plain.first(std::min(frame_plain_bytes_max, plain.size()));
        plain = plain.subspan(piece.size());
        TRY(const Bytes frame, channel.seal_frame(piece));
        out.insert(out.end(), frame.begin(), frame.end());
    }
    return out;
}

}  // namespace ladderline::protocol
