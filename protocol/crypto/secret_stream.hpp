#pragma once
// A sealed stream of messages that opens only whole, in order and to its marked end: libsodium's
// crypto_secretstream_xchacha20poly1305. One key seals one stream.

#include "protocol/crypto/aead.hpp"

namespace ladderline::protocol {

struct StreamHeaderTag;
using StreamHeader = FixedBytes<StreamHeaderTag, 24>;     // random, in the clear before the stream
inline constexpr std::size_t stream_overhead_bytes = 17;  // what a sealed message is longer than its plain text

// One end of one stream; seals or opens, never both.
class SecretStream {
public:
    SecretStream(const AeadKey& key, const StreamHeader& header);

    // `last`: marks the end; nothing may be sealed after it.
    Bytes seal(ByteView associated, ByteView plain, bool last);

    struct Opened {
        Bytes plain;
        bool last = false;
    };
    // wrong_key if the message is not the next one of this stream, or was changed. The stream is of no use after that.
    Result<Opened> open(ByteView associated, ByteView sealed);

private:
    SecretBytes state_;
};

}  // namespace ladderline::protocol
