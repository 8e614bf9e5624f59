#include "protocol/handshake/noise_hash.hpp"

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::size_t blake2b_bytes = 64;
constexpr std::size_t blake2b_block_bytes = 128;

SecretBytes hmac_blake2b(ByteView key, std::initializer_list<ByteView> parts) {
    SecretBytes block_key(blake2b_block_bytes);
    if (key.size() > blake2b_block_bytes) {
        blake2b(block_key.mutable_view().first(blake2b_bytes), {key});
    } else {
        std::copy(key.begin(), key.end(), block_key.mutable_view().begin());
    }
    SecretBytes inner_pad = block_key.clone();
    SecretBytes outer_pad = std::move(block_key);
    for (std::uint8_t& b : inner_pad.mutable_view()) b ^= 0x36;
    for (std::uint8_t& b : outer_pad.mutable_view()) b ^= 0x5c;

    std::size_t size = blake2b_block_bytes;
    for (const ByteView part : parts) size += part.size();
    SecretBytes message(size);
    auto to = std::copy(inner_pad.view().begin(), inner_pad.view().end(), message.mutable_view().begin());
    for (const ByteView part : parts) to = std::copy(part.begin(), part.end(), to);

    SecretBytes inner(blake2b_bytes);
    blake2b(inner.mutable_view(), {message.view()});
    SecretBytes out(blake2b_bytes);
    blake2b(out.mutable_view(), {outer_pad.view(), inner.view()});
    return out;
}

SecretBytes hmac_sha256_secret(ByteView key, std::initializer_list<ByteView> parts) {
    Sha256 digest = hmac_sha256(key, parts);
    SecretBytes out = SecretBytes::copy_of(digest.view());
    wipe(digest.mutable_view());
    return out;
}

}  // namespace

std::string_view noise_hash_name(NoiseHash hash) {
    return hash == NoiseHash::sha256 ? "SHA256" : "BLAKE2b";
}

std::size_t noise_hash_bytes(NoiseHash hash) {
    return hash == NoiseHash::sha256 ? Sha256::size : blake2b_bytes;
}

Bytes noise_digest(NoiseHash hash, std::initializer_list<ByteView> parts) {
    if (hash == NoiseHash::sha256) return to_bytes(sha256(parts).view());
    Bytes out(blake2b_bytes);
    blake2b(out, parts);
    return out;
}

SecretBytes noise_hmac(NoiseHash hash, ByteView key, std::initializer_list<ByteView> parts) {
    return hash == NoiseHash::sha256 ? hmac_sha256_secret(key, parts) : hmac_blake2b(key, parts);
}

HkdfOutput noise_hkdf(NoiseHash hash, ByteView chaining_key, ByteView input) {
    static constexpr std::array<std::uint8_t, 1> one{1}, two{2}, three{3};
    const SecretBytes temporary = noise_hmac(hash, chaining_key, {input});
    HkdfOutput out;
    out.first = noise_hmac(hash, temporary.view(), {one});
    out.second = noise_hmac(hash, temporary.view(), {out.first.view(), two});
    out.third = noise_hmac(hash, temporary.view(), {out.second.view(), three});
    return out;
}

}  // namespace ladderline::protocol
