#pragma once
// XChaCha20-Poly1305 into memory of the caller, for pages sealed and opened thousands of times a second.

#include "protocol/crypto/aead.hpp"

namespace ladderline::protocol {

// The cipher of xseal and xopen of aead.hpp, bit for bit, with the tag apart, no allocation, and two savings: the
// subkey that belongs to the first 16 bytes of a nonce (draft-irtf-cfrg-xchacha, section 2.3) is kept for the next
// message that shares them, and the key stream runs over whole blocks, which the processor's wide registers do at one
// go where the last odd bytes would cost as much as a sixth of a page.
//
// For one thread at a time, the const functions too.
class XCipher {
public:
    explicit XCipher(const AeadKey& key) : key_(key.clone()) {}

    // The message is the first `size` bytes of `plain`, and so is the sealed one of `sealed`. Both are of one length,
    // at least `size`; they may be the same memory. What stands behind the message in `sealed` is overwritten with
    // bytes that tell nothing if `plain` has zeros there, and that the caller must replace all the same. `tag`:
    // aead_tag_bytes, written last; it may lie behind the message in `sealed`.
    void seal(const XNonce& nonce, ByteView associated, std::size_t size, ByteView plain, MutableByteView sealed,
              MutableByteView tag) const;

    // False, with `plain` untouched, if the tag does not fit. As for seal, `plain` is as long as `sealed`, may be the
    // same memory, and behind `size` bytes it holds nothing of use afterwards. `tag` may lie in `sealed`.
    [[nodiscard]] bool open(const XNonce& nonce, ByteView associated, std::size_t size, ByteView sealed, ByteView tag,
                            MutableByteView plain) const;

    // True if the tag fits; half the work of open.
    [[nodiscard]] bool is_genuine(const XNonce& nonce, ByteView associated, ByteView sealed, ByteView tag) const;

private:
    using Tag = std::array<std::uint8_t, aead_tag_bytes>;

    // Readies subkey_ for this nonce.
    void derive_subkey(const XNonce& nonce) const;
    Tag tag_of(const XNonce& nonce, ByteView associated, ByteView sealed) const;

    AeadKey key_;
    mutable AeadKey subkey_;
    mutable std::array<std::uint8_t, 16> subkey_nonce_{};
    mutable bool has_subkey_ = false;
};

}  // namespace ladderline::protocol
