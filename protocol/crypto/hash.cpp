#include "protocol/crypto/hash.hpp"

#include <sodium.h>

namespace ladderline::protocol {

void blake2b(MutableByteView out, std::initializer_list<ByteView> parts, ByteView key) {
    ENSURE(out.size() >= 16 && out.size() <= 64);
    crypto_generichash_state state;
    ENSURE(crypto_generichash_init(&state, key.data(), key.size(), out.size()) == 0);
    for (const ByteView part : parts) crypto_generichash_update(&state, part.data(), part.size());
    crypto_generichash_final(&state, out.data(), out.size());
}

Sha256 sha256(std::initializer_list<ByteView> parts) {
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    for (const ByteView part : parts) crypto_hash_sha256_update(&state, part.data(), part.size());
    Sha256 out;
    crypto_hash_sha256_final(&state, out.data.data());
    return out;
}

Sha256 hmac_sha256(ByteView key, std::initializer_list<ByteView> parts) {
    crypto_auth_hmacsha256_state state;
    crypto_auth_hmacsha256_init(&state, key.data(), key.size());
    for (const ByteView part : parts) crypto_auth_hmacsha256_update(&state, part.data(), part.size());
    Sha256 out;
    crypto_auth_hmacsha256_final(&state, out.data.data());
    return out;
}

}  // namespace ladderline::protocol
