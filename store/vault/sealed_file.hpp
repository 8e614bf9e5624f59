#pragma once
// What SQLite sees of one file of a vault; results are SQLite's codes.

#include <atomic>
#include <cstdint>

#include "store/vault/base_file.hpp"
#include "store/vault/page_codec.hpp"

namespace ladderline::store::vault {

class SealedFile {
public:
    SealedFile() = default;
    SealedFile(const SealedFile&) = delete;
    SealedFile& operator=(const SealedFile&) = delete;
    virtual ~SealedFile() = default;
    virtual int read(std::int64_t offset, MutableByteView out) = 0;
    virtual int write(std::int64_t offset, ByteView bytes) = 0;
    virtual int truncate(std::int64_t size) = 0;
    virtual int sync(int flags) = 0;
    virtual int size(std::int64_t& out) = 0;
    virtual BaseFile& base() = 0;
};

// The page last read from the log, both ways. A checkpoint writes it to the database next, and its sealed form is the
// same there, so it is copied instead of sealed again.
struct LastLogPage {
    std::uint32_t page_number = 0;  // 0: none
    PlainPage plain;
    PlainPage sealed;
};

// What the files of one open store share; outlives them.
struct VaultKeys {
    VaultKeys(ByteView header, const protocol::AeadKey& data_key, Random& random)
        : codec(header, data_key), log_key(derive_log_key(header, data_key)), nonces(random) {}

    PageCodec codec;
    LogKey log_key;
    NonceSource nonces;
    LastLogPage last_log_page;
    // Set by a sync that failed, for good: what the system still holds of the writes before it may never reach the
    // disk, though a second sync would succeed. From then on nothing is written; the store must be opened again.
    bool sync_failed = false;
};

// Calls that the vault turned down since the process began (a page of another size, a temporary file, a write that only
// a cache spill makes ...). Zero in normal use; a test watches it.
extern std::atomic<std::int64_t> refusals;

// Counts a refusal and gives back `code`.
int refuse(int code);

}  // namespace ladderline::store::vault
