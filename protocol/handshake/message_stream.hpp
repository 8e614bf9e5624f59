#pragma once
// Messages over the frames of a channel.
//
// The plain bytes of all frames of one direction form one stream of messages: u32 little-endian length, then that many
// bytes. A message may span frames, and a frame may hold many.

#include "protocol/handshake/channel.hpp"
#include "protocol/limits.hpp"

namespace ladderline::protocol {

class MessageReader {
public:
    explicit MessageReader(std::size_t message_bytes_max = limits::message_bytes_max);

    // Fault::peer as soon as a length above the bound is announced; dead from then on. Memory grows only with bytes
    // that have arrived, never with what a length announces.
    Result<void> on_plain(ByteView plain);
    std::optional<Bytes> next();
    // True if a message has begun and is not whole.
    bool inside_message() const { return header_size_ > 0; }

private:
    Result<void> on_header_byte(std::uint8_t byte);

    std::size_t message_bytes_max_;
    std::size_t header_size_ = 0;  // bytes of the length that are here, 0 to 4
    std::uint32_t announced_ = 0;
    Bytes body_;
    std::deque<Bytes> messages_;
    bool dead_ = false;
};

// Appends a message to the plain bytes of one direction. Precondition: message.size() < 2^32.
void put_message(Bytes& plain, ByteView message);
// The frames of these plain bytes, one after another, in as few as it takes; none for no bytes.
Result<Bytes> seal_plain(SecureChannel& channel, ByteView plain);

}  // namespace ladderline::protocol
