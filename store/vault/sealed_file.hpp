#pragma once
// What SQLite sees of one file of a vault; results are SQLite's codes.

#include <algorithm>
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
    // SQLite begins or ends copying the log into this database file.
    virtual void checkpoint([[maybe_unused]] bool begins) {}
    virtual BaseFile& base() = 0;
};

// While SQLite copies the log into the database it looks at no page, and a page is sealed alike in both files. So the
// log shows SQLite nothing but the nonce and tag of a page, where they stand in it, and the database, given them back,
// takes the sealed page itself. (SQLite tells both ends of it, SQLITE_FCNTL_CKPT_START and _DONE. Any other use of
// either file ends it too.)
class Checkpoint {
public:
    void begin() { running_ = true; }
    void end() { *this = {}; }
    bool running() const { return running_; }

    // `shown` goes to SQLite for this page; only its reserved bytes are set. `sealed` stays as it is until the next
    // call of hand_out or end.
    void hand_out(std::uint32_t page_number, ByteView sealed, MutableByteView shown) {
        page_number_ = page_number;
        sealed_ = sealed;
        std::copy_n(sealed.begin() + body_bytes, reserved_bytes, shown.begin() + body_bytes);
    }
    // The sealed page handed out last, if `shown` is what was shown for it: no other page has its nonce and tag, and a
    // clear page has zeros there. Else empty.
    ByteView take_back(std::uint32_t page_number, ByteView shown) const {
        const bool same = page_number == page_number_ && !sealed_.empty() &&
                          std::equal(shown.begin() + body_bytes, shown.end(), sealed_.begin() + body_bytes);
        return same ? sealed_ : ByteView{};
    }

private:
    bool running_ = false;
    std::uint32_t page_number_ = 0;
    ByteView sealed_;
};

// What the files of one open store share; outlives them.
struct VaultKeys {
    VaultKeys(ByteView header, const protocol::AeadKey& data_key, Random& random)
        : codec(header, data_key), log_key(derive_log_key(header, data_key)), nonces(random) {}

    PageCodec codec;
    LogKey log_key;
    NonceSource nonces;
    Checkpoint checkpoint;
    // Set by a sync that failed, for good: what the system still holds of the writes before it may never reach the
    // disk, though a second sync would succeed. From then on nothing is written; the store must be opened again.
    bool sync_failed = false;
    // The database is only read, and counts as long as its first page says (see OpenOptions).
    bool to_salvage = false;
};

// Calls that the vault turned down since the process began (a page of another size, a temporary file, a write that only
// a cache spill makes ...). Zero in normal use; a test watches it.
extern std::atomic<std::int64_t> refusals;

// Counts a refusal and gives back `code`.
int refuse(int code);

}  // namespace ladderline::store::vault
