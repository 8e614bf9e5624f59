#pragma once
// Argon2id (RFC 9106) with the parameters as data: they are stored beside what they protect.

#include "protocol/crypto/aead.hpp"

namespace ladderline::protocol {

struct SaltTag;
using Salt = FixedBytes<SaltTag, 16>;

struct PassphraseCost {
    std::uint32_t passes = 3;
    std::uint32_t memory_kib = 256 * 1024;
    bool operator==(const PassphraseCost&) const = default;
};

// Memory 8 KiB to 4 GiB, passes 1 to 16, else bad_input; `refused` if the machine cannot give the memory.
Result<AeadKey> key_from_passphrase(ByteView passphrase, const Salt& salt, const PassphraseCost& cost);

}  // namespace ladderline::protocol
