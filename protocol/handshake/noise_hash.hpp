#pragma once
// The hash functions of Noise and what is built on them: HMAC and HKDF (revision 34, sections 4.3 and 12.5, 12.8).

#include "protocol/crypto/secret.hpp"

namespace ladderline::protocol {

// sha256 is what the product speaks; blake2b is here because published vectors cover both.
enum class NoiseHash : std::uint8_t { sha256, blake2b };

std::string_view noise_hash_name(NoiseHash hash);
// 32 or 64 bytes.
std::size_t noise_hash_bytes(NoiseHash hash);
Bytes noise_digest(NoiseHash hash, std::initializer_list<ByteView> parts);
// RFC 2104 over either hash. For BLAKE2b this is HMAC with a block of 128 bytes, not BLAKE2b's own keyed mode.
SecretBytes noise_hmac(NoiseHash hash, ByteView key, std::initializer_list<ByteView> parts);

struct HkdfOutput {
    SecretBytes first;
    SecretBytes second;
    SecretBytes third;
};
// All three outputs, each of the hash's length; a caller that needs two ignores the third.
HkdfOutput noise_hkdf(NoiseHash hash, ByteView chaining_key, ByteView input);

}  // namespace ladderline::protocol
