#include "protocol/crypto/aead_in_place.hpp"

#include <sodium.h>

namespace ladderline::protocol {

void xseal_into(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView plain, MutableByteView sealed,
                MutableByteView tag) {
    ENSURE(sealed.size() == plain.size() && tag.size() == aead_tag_bytes);
    crypto_aead_xchacha20poly1305_ietf_encrypt_detached(sealed.data(), tag.data(), nullptr, plain.data(), plain.size(),
                                                        associated.data(), associated.size(), nullptr,
                                                        nonce.data.data(), key.view().data());
}

bool xopen_into(const AeadKey& key, const XNonce& nonce, ByteView associated, ByteView sealed, ByteView tag,
                MutableByteView plain) {
    ENSURE(plain.size() == sealed.size() && tag.size() == aead_tag_bytes);
    return crypto_aead_xchacha20poly1305_ietf_decrypt_detached(plain.data(), nullptr, sealed.data(), sealed.size(),
                                                               tag.data(), associated.data(), associated.size(),
                                                               nonce.data.data(), key.view().data()) == 0;
}

}  // namespace ladderline::protocol
