#pragma once
// Authenticated encryption: XChaCha20-Poly1305 for stored and synced bodies, ChaCha20-Poly1305 (RFC 8439) for Noise.

#include "protocol/crypto/secret.hpp"

namespace ladderline::protocol {

struct AeadKeyTag;
using AeadKey = Secret<AeadKeyTag, 32>;
inline constexpr std::size_t aead_tag_bytes = 16;

struct XNonceTag;
using XNonce = FixedBytes<XNonceTag, 24>;

// XChaCha20-Poly1305. Result is aead_tag_bytes longer than the plain text.
Bytes xseal(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView plain);
// wrong_key if the tag does not fit (another key, another place, or changed bytes).
Result<Bytes> xopen(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView sealed);

// Noise's cipher: nonce = 4 zero bytes, then `counter` as 64-bit little-endian (Noise revision 34, section 12.3).
Bytes noise_seal(ByteView key, std::uint64_t counter, ByteView associated, ByteView plain);
Result<Bytes> noise_open(ByteView key, std::uint64_t counter, ByteView associated, ByteView sealed);

}  // namespace ladderline::protocol
