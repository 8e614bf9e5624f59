#include "protocol/crypto/passphrase.hpp"

#include <sodium.h>

namespace ladderline::protocol {

Result<AeadKey> key_from_passphrase(ByteView passphrase, const Salt& salt, const PassphraseCost& cost) {
    if (cost.passes < 1 || cost.passes > 16 || cost.memory_kib < 8 || cost.memory_kib > 4U * 1024 * 1024) {
        return Error{Fault::bad_input, "The passphrase settings are outside what this program accepts."};
    }
    AeadKey out;
    const auto memory = static_cast<std::size_t>(cost.memory_kib) * 1024;
    if (crypto_pwhash(out.mutable_view().data(), AeadKey::size, reinterpret_cast<const char*>(passphrase.data()),
                      passphrase.size(), salt.data.data(), cost.passes, memory, crypto_pwhash_ALG_ARGON2ID13) != 0) {
        return Error{Fault::refused,
                     "There is not enough free memory to work out the key; close other programs and try again."};
    }
    return out;
}

}  // namespace ladderline::protocol
