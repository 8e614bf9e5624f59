#pragma once
// The encrypted channel after a handshake.
//
// A frame on the wire: u16 big-endian length (16 to 65535), then that many bytes of one Noise transport message
// (ChaCha20-Poly1305, no associated data, counter from 0 in each direction, never reset).
// After every 65,536 frames of a direction its key is replaced (Noise revision 34, sections 4.2 and 11.3).

#include <deque>
#include <optional>

#include "protocol/handshake/noise.hpp"

namespace ladderline::protocol {

inline constexpr std::size_t frame_header_bytes = 2;
inline constexpr std::size_t frame_plain_bytes_max = noise_message_bytes_max - aead_tag_bytes;  // 65519
inline constexpr std::uint64_t rekey_interval_frames = 65536;

// Cuts a byte stream into length-prefixed frames, whatever the pieces it arrives in. Holds at most one unfinished
// frame.
class FrameReader {
public:
    // Moves bytes from the front of `input` until a frame (without its length) is whole or the input is used up.
    // Fault::peer, as soon as the length is known, if it is outside [bytes_min, bytes_max].
    Result<std::optional<Bytes>> take(ByteView& input, std::size_t bytes_min, std::size_t bytes_max);
    bool inside_frame() const { return !pending_.empty(); }

private:
    Bytes pending_;
};

// Length prefix and body. Precondition: body fits 16 bits.
Bytes make_frame(ByteView body);

class SecureChannel {
public:
    explicit SecureChannel(TransportCiphers ciphers);

    // One frame, ready for the wire. Precondition: plain.size() <= frame_plain_bytes_max.
    // `refused` if the channel is dead or its counter has ended.
    Result<Bytes> seal_frame(ByteView plain);
    // Bytes from the wire in pieces of any size. Fault::peer on the first frame that does not fit; the channel is then
    // dead for good, and frames opened before stay readable.
    Result<void> on_bytes(ByteView bytes);
    // The stream ended. Fault::peer if that cut a frame in two.
    Result<void> on_end();
    // Plain bytes of the frames, in order.
    std::optional<Bytes> next_frame();
    bool dead() const { return dead_; }

private:
    TransportCiphers ciphers_;
    FrameReader reader_;
    std::deque<Bytes> frames_;
    bool dead_ = false;
};

}  // namespace ladderline::protocol
