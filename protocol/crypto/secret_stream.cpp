#include "protocol/crypto/secret_stream.hpp"

#include <sodium.h>

namespace ladderline::protocol {
namespace {

using State = crypto_secretstream_xchacha20poly1305_state;
static_assert(alignof(State) == 1);
static_assert(StreamHeader::size == crypto_secretstream_xchacha20poly1305_HEADERBYTES);
static_assert(AeadKey::size == crypto_secretstream_xchacha20poly1305_KEYBYTES);
static_assert(stream_overhead_bytes == crypto_secretstream_xchacha20poly1305_ABYTES);

State* state_in(SecretBytes& memory) {
    return reinterpret_cast<State*>(memory.mutable_view().data());
}

}  // namespace

// libsodium's own start of a sealed stream draws the header itself; its start of an opened one takes the header and
// makes the same state, so that here randomness stays an argument.
SecretStream::SecretStream(const AeadKey& key, const StreamHeader& header) : state_(sizeof(State)) {
    ENSURE(crypto_secretstream_xchacha20poly1305_init_pull(state_in(state_), header.data.data(), key.view().data()) ==
           0);
}

Bytes SecretStream::seal(ByteView associated, ByteView plain, bool last) {
    Bytes out(plain.size() + stream_overhead_bytes);
    const unsigned char tag =
        last ? crypto_secretstream_xchacha20poly1305_TAG_FINAL : crypto_secretstream_xchacha20poly1305_TAG_MESSAGE;
    ENSURE(crypto_secretstream_xchacha20poly1305_push(state_in(state_), out.data(), nullptr, plain.data(), plain.size(),
                                                      associated.data(), associated.size(), tag) == 0);
    return out;
}

Result<SecretStream::Opened> SecretStream::open(ByteView associated, ByteView sealed) {
    const Error failed{Fault::wrong_key, "The bytes do not open: wrong key, or they were changed."};
    if (sealed.size() < stream_overhead_bytes) return failed;
    Opened out{Bytes(sealed.size() - stream_overhead_bytes), false};
    unsigned char tag = 0;
    if (crypto_secretstream_xchacha20poly1305_pull(state_in(state_), out.plain.data(), nullptr, &tag, sealed.data(),
                                                   sealed.size(), associated.data(), associated.size()) != 0) {
        return failed;
    }
    if (tag == crypto_secretstream_xchacha20poly1305_TAG_FINAL)
        out.last = true;
    else if (tag != crypto_secretstream_xchacha20poly1305_TAG_MESSAGE)
        return failed;
    return out;
}

}  // namespace ladderline::protocol
