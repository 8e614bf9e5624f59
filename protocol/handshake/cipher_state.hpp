#pragma once
// A key and a counter: Noise revision 34, section 5.1, with ChaCha20-Poly1305.

#include "protocol/crypto/aead.hpp"

namespace ladderline::protocol {

class CipherState {
public:
    CipherState() = default;  // no key: bytes pass unchanged, as the specification asks
    explicit CipherState(ByteView key);

    // `key`: 32 bytes. The counter starts at 0: only for a new key, never for a rekey.
    void set_key(ByteView key);
    bool has_key() const { return !key_.empty(); }
    // Number of messages handled so far under this state; never goes back.
    std::uint64_t counter() const { return counter_; }
    // SetNonce() of section 5.1; precondition: not lower than the present value.
    void skip_to(std::uint64_t counter);

    // `refused` once the counter is 2^64-1 (that value belongs to rekey).
    Result<Bytes> encrypt(ByteView associated, ByteView plain);
    // Fault::peer if the tag does not fit or the counter has ended; the counter then stays where it was.
    Result<Bytes> decrypt(ByteView associated, ByteView sealed);
    // REKEY of section 4.2: the first 32 bytes of 32 zero bytes sealed under counter 2^64-1. The counter stays.
    void rekey();

private:
    SecretBytes key_;
    std::uint64_t counter_ = 0;
};

}  // namespace ladderline::protocol
