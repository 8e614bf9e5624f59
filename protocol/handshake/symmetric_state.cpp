#include "protocol/handshake/symmetric_state.hpp"

namespace ladderline::protocol {
namespace {

// "truncates to 32 bytes if HASHLEN is 64" (section 5.2).
ByteView cipher_key(const SecretBytes& bytes) {
    return bytes.view().first(32);
}

}  // namespace

SymmetricState::SymmetricState(NoiseHash hash, std::string_view protocol_name) : hash_(hash) {
    const ByteView name = as_bytes(protocol_name);
    const std::size_t hash_bytes = noise_hash_bytes(hash);
    if (name.size() <= hash_bytes) {
        handshake_hash_ = to_bytes(name);
        handshake_hash_.resize(hash_bytes);
    } else {
        handshake_hash_ = noise_digest(hash, {name});
    }
    chaining_key_ = SecretBytes::copy_of(handshake_hash_);
}

void SymmetricState::mix_key(ByteView input) {
    HkdfOutput keys = noise_hkdf(hash_, chaining_key_.view(), input);
    chaining_key_ = std::move(keys.first);
    cipher_.set_key(cipher_key(keys.second));
}

void SymmetricState::mix_hash(ByteView data) {
    handshake_hash_ = noise_digest(hash_, {handshake_hash_, data});
}

void SymmetricState::mix_key_and_hash(ByteView input) {
    HkdfOutput keys = noise_hkdf(hash_, chaining_key_.view(), input);
    chaining_key_ = std::move(keys.first);
    mix_hash(keys.second.view());
    cipher_.set_key(cipher_key(keys.third));
}

Result<Bytes> SymmetricState::encrypt_and_hash(ByteView plain) {
    TRY(Bytes sealed, cipher_.encrypt(handshake_hash_, plain));
    mix_hash(sealed);
    return sealed;
}

Result<Bytes> SymmetricState::decrypt_and_hash(ByteView sealed) {
    TRY(Bytes plain, cipher_.decrypt(handshake_hash_, sealed));
    mix_hash(sealed);
    return plain;
}

std::pair<CipherState, CipherState> SymmetricState::split() const {
    const HkdfOutput keys = noise_hkdf(hash_, chaining_key_.view(), {});
    return {CipherState(cipher_key(keys.first)), CipherState(cipher_key(keys.second))};
}

void SymmetricState::wipe_keys() {
    chaining_key_ = SecretBytes();
    cipher_ = CipherState();
}

}  // namespace ladderline::protocol
