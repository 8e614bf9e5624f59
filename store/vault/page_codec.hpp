#pragma once
// The clear header of a vault file and the cipher of its pages: the one seam for another cipher.
//
// Bytes 0 to 23 of a vault file, in clear, never changed after creation, so that no torn write can hurt them:
//   0  3  "LLV"
//   3  1  format: 1 = 4096-byte pages under XChaCha20-Poly1305, keys by BLAKE2b
//   4 12  salt, random
//  16  8  check: proves the data key before any log is looked at
//
// Keys, all keyed BLAKE2b (RFC 7693) under the 32-byte data key over a domain text and the salt:
//   check "ladderline vault check" (first 8 of 16 bytes), pages "ladderline vault pages", log "ladderline vault log".
//
// A sealed page, in the database and in the log alike:
//   0    4056  body under XChaCha20-Poly1305; page 1 has the header above in its first 24 bytes and seals the other
//   4032 4056   24  nonce 4080   16  tag
// Associated data: salt (12), page number (4, little-endian).

#include <array>
#include <cstdint>

#include "protocol/base/random.hpp"
#include "protocol/crypto/aead_in_place.hpp"
#include "store/vault/layout.hpp"
#include "store/vault/nonce_source.hpp"

namespace ladderline::store::vault {

using FileHeader = std::array<std::uint8_t, header_bytes>;

FileHeader make_file_header(const protocol::AeadKey& data_key, Random& random);

// wrong_key: the data key does not belong to this file (or the header itself was changed). unsupported: a newer format.
// damaged: not a vault file at all.
Result<void> check_file_header(ByteView header, const protocol::AeadKey& data_key);

struct LogKeyTag;
using LogKey = protocol::Secret<LogKeyTag, 32>;
LogKey derive_log_key(ByteView header, const protocol::AeadKey& data_key);

// For one thread at a time, the const functions too.
class PageCodec {
public:
    // Precondition: check_file_header(header, data_key) succeeded.
    PageCodec(ByteView header, const protocol::AeadKey& data_key);

    // Precondition: may_be_sealed(page_number, plain). `sealed` is another 4096 bytes.
    void seal(std::uint32_t page_number, ByteView plain, NonceSource& nonces, MutableByteView sealed) const;

    // False if the bytes are not what was sealed for this page of this file. Else `plain` (another 4096 bytes) is what
    // SQLite wrote, reserved bytes zero.
    [[nodiscard]] bool open(std::uint32_t page_number, ByteView sealed, MutableByteView plain) const;

    // True if open would say so; cheaper.
    [[nodiscard]] bool is_genuine(std::uint32_t page_number, ByteView sealed) const;

private:
    FileHeader header_;
    protocol::XCipher cipher_;
};

}  // namespace ladderline::store::vault
