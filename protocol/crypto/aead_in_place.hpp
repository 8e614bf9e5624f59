#pragma once
// XChaCha20-Poly1305 into memory of the caller, for pages sealed and opened thousands of times a second.
// The same cipher as xseal and xopen of aead.hpp, with the tag apart and no allocation.

#include "protocol/crypto/aead.hpp"

namespace ladderline::protocol {

// `sealed` is as long as `plain` and may be the same memory; `tag` is aead_tag_bytes long.
void xseal_into(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView plain, MutableByteView sealed,
                MutableByteView tag);

// False, with `plain` left zeroed or untouched, if the tag does not fit. `plain` is as long as `sealed` and may be the
// same memory.
[[nodiscard]] bool xopen_into(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView sealed,
                              ByteView tag, MutableByteView plain);

}  // namespace ladderline::protocol
