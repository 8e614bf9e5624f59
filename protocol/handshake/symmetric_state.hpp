#pragma once
// Chaining key, handshake hash and the handshake's cipher: Noise revision 34, section 5.2.

#include "protocol/handshake/cipher_state.hpp"
#include "protocol/handshake/noise_hash.hpp"

namespace ladderline::protocol {

class SymmetricState {
public:
    // `protocol_name`: e.g. "Noise_IK_25519_ChaChaPoly_SHA256".
    SymmetricState(NoiseHash hash, std::string_view protocol_name);

    void mix_key(ByteView input);
    void mix_hash(ByteView data);
    void mix_key_and_hash(ByteView input);
    bool has_key() const { return cipher_.has_key(); }
    Result<Bytes> encrypt_and_hash(ByteView plain);
    Result<Bytes> decrypt_and_hash(ByteView sealed);
    // The handshake hash so far: 32 bytes (SHA256) or 64 (BLAKE2b). Public.
    const Bytes& handshake_hash() const { return handshake_hash_; }
    // {initiator to responder, responder to initiator}.
    std::pair<CipherState, CipherState> split() const;
    // Ends the use of this state; handshake_hash() stays.
    void wipe_keys();

private:
    NoiseHash hash_;
    Bytes handshake_hash_;
    SecretBytes chaining_key_;
    CipherState cipher_;
};

}  // namespace ladderline::protocol
