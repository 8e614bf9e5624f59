#pragma once
// Nonces that never repeat: 16 random bytes drawn once, then a counter of 8 bytes.

#include "protocol/base/random.hpp"
#include "protocol/crypto/aead.hpp"

namespace ladderline::store::vault {

// One per open store. Never derived from a page number or from anything in the file, which a restored copy would
// repeat. A process made by fork() that draws from its parent's source is ended: both would use the same nonces.
class NonceSource {
public:
    explicit NonceSource(Random& random);
    protocol::XNonce next();

private:
    protocol::XNonce prefix_;
    std::uint64_t counter_ = 0;
    std::uint64_t process_;
};

}  // namespace ladderline::store::vault
