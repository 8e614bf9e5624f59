#include "protocol/crypto/aead.hpp"

#include <sodium.h>

namespace ladderline::protocol {
namespace {

using NoiseNonce = std::array<std::uint8_t, crypto_aead_chacha20poly1305_ietf_NPUBBYTES>;

NoiseNonce noise_nonce(std::uint64_t counter) {
    NoiseNonce nonce{};
    for (std::size_t i = 0; i < 8; ++i) nonce[4 + i] = static_cast<std::uint8_t>(counter >> (8 * i));
    return nonce;
}

const Error tag_mismatch{Fault::wrong_key, "The bytes do not open: wrong key, or they were changed."};

}  // namespace

Bytes xseal(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView plain) {
    Bytes out(plain.size() + aead_tag_bytes);
    crypto_aead_xchacha20poly1305_ietf_encrypt(out.data(), nullptr, plain.data(), plain.size(), associated.data(),
                                               associated.size(), nullptr, nonce.data.data(), key.view().data());
    return out;
}

Result<Bytes> xopen(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView sealed) {
    if (sealed.size() < aead_tag_bytes) return tag_mismatch;
    Bytes out(sealed.size() - aead_tag_bytes);
    if (crypto_aead_xchacha20poly1305_ietf_decrypt(out.data(), nullptr, nullptr, sealed.data(), sealed.size(),
                                                   associated.data(), associated.size(), nonce.data.data(),
                                                   key.view().data()) != 0) {
        return tag_mismatch;
    }
    return out;
}

Bytes noise_seal(ByteView key, std::uint64_t counter, ByteView associated, ByteView plain) {
    ENSURE(key.size() == crypto_aead_chacha20poly1305_ietf_KEYBYTES);
    const NoiseNonce nonce = noise_nonce(counter);
    Bytes out(plain.size() + aead_tag_bytes);
    crypto_aead_chacha20poly1305_ietf_encrypt(out.data(), nullptr, plain.data(), plain.size(), associated.data(),
                                              associated.size(), nullptr, nonce.data(), key.data());
    return out;
}

Result<Bytes> noise_open(ByteView key, std::uint64_t counter, ByteView associated, ByteView sealed) {
    ENSURE(key.size() == crypto_aead_chacha20poly1305_ietf_KEYBYTES);
    if (sealed.size() < aead_tag_bytes) return tag_mismatch;
    const NoiseNonce nonce = noise_nonce(counter);
    Bytes out(sealed.size() - aead_tag_bytes);
    if (crypto_aead_chacha20poly1305_ietf_decrypt(out.data(), nullptr, nullptr, sealed.data(), sealed.size(),
                                                  associated.data(), associated.size(), nonce.data(),
                                                  key.data()) != 0) {
        return tag_mismatch;
    }
    return out;
}

}  // namespace ladderline::protocol
