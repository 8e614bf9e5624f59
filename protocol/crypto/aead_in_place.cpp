#include "protocol/crypto/aead_in_place.hpp"

#include <sodium.h>

#include <algorithm>

namespace ladderline::protocol {
namespace {

using ShortNonce = std::array<std::uint8_t, crypto_stream_chacha20_ietf_NONCEBYTES>;

// RFC 8439 wants 12 bytes: zeros, then the rest of the long nonce.
ShortNonce short_nonce(const XNonce& nonce) {
    ShortNonce out{};
    std::copy(nonce.data.begin() + 16, nonce.data.end(), out.begin() + 4);
    return out;
}

void put_little_endian(MutableByteView out, std::uint64_t value) {
    for (std::size_t i = 0; i < 8; ++i) out[i] = static_cast<std::uint8_t>(value >> (8 * i));
}

// The key stream of block 0 is the key of the tag, so the message begins at block 1 (RFC 8439, section 2.8).
void add_key_stream(MutableByteView out, ByteView in, const ShortNonce& nonce, ByteView subkey) {
    if (in.empty()) return;  // libsodium wants pointers all the same
    crypto_stream_chacha20_ietf_xor_ic(out.data(), in.data(), in.size(), nonce.data(), 1, subkey.data());
}

}  // namespace

void XCipher::derive_subkey(const XNonce& nonce) const {
    if (has_subkey_ && std::equal(subkey_nonce_.begin(), subkey_nonce_.end(), nonce.data.begin())) return;
    crypto_core_hchacha20(subkey_.mutable_view().data(), nonce.data.data(), key_.view().data(), nullptr);
    std::copy_n(nonce.data.begin(), subkey_nonce_.size(), subkey_nonce_.begin());
    has_subkey_ = true;
}

XCipher::Tag XCipher::tag_of(const XNonce& nonce, ByteView associated, ByteView sealed) const {
    static constexpr std::array<std::uint8_t, 16> zeros{};
    const auto to_16 = [](std::size_t size) { return (16 - size % 16) % 16; };
    std::array<std::uint8_t, crypto_onetimeauth_poly1305_KEYBYTES> tag_key;
    crypto_stream_chacha20_ietf(tag_key.data(), tag_key.size(), short_nonce(nonce).data(), subkey_.view().data());
    std::array<std::uint8_t, 16> lengths;
    put_little_endian(MutableByteView(lengths).first(8), associated.size());
    put_little_endian(MutableByteView(lengths).last(8), sealed.size());
    crypto_onetimeauth_poly1305_state state;
    crypto_onetimeauth_poly1305_init(&state, tag_key.data());
    wipe(tag_key);
    crypto_onetimeauth_poly1305_update(&state, associated.data(), associated.size());
    crypto_onetimeauth_poly1305_update(&state, zeros.data(), to_16(associated.size()));
    crypto_onetimeauth_poly1305_update(&state, sealed.data(), sealed.size());
    crypto_onetimeauth_poly1305_update(&state, zeros.data(), to_16(sealed.size()));
    crypto_onetimeauth_poly1305_update(&state, lengths.data(), lengths.size());
    Tag out;
    crypto_onetimeauth_poly1305_final(&state, out.data());
    return out;
}

void XCipher::seal(const XNonce& nonce, ByteView associated, std::size_t size, ByteView plain, MutableByteView sealed,
                   MutableByteView tag) const {
    ENSURE(plain.size() >= size && sealed.size() == plain.size() && tag.size() == aead_tag_bytes);
    derive_subkey(nonce);
    add_key_stream(sealed, plain, short_nonce(nonce), subkey_.view());
    const Tag made = tag_of(nonce, associated, ByteView(sealed).first(size));
    std::copy(made.begin(), made.end(), tag.begin());
}

bool XCipher::open(const XNonce& nonce, ByteView associated, std::size_t size, ByteView sealed, ByteView tag,
                   MutableByteView plain) const {
    ENSURE(sealed.size() >= size && plain.size() == sealed.size());
    if (!is_genuine(nonce, associated, sealed.first(size), tag)) return false;
    add_key_stream(plain, sealed, short_nonce(nonce), subkey_.view());
    return true;
}

bool XCipher::is_genuine(const XNonce& nonce, ByteView associated, ByteView sealed, ByteView tag) const {
    ENSURE(tag.size() == aead_tag_bytes);
    derive_subkey(nonce);
    return crypto_verify_16(tag_of(nonce, associated, sealed).data(), tag.data()) == 0;
}

}  // namespace ladderline::protocol
