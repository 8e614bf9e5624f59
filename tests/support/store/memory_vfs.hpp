#pragma once
// A SQLite VFS that lives in memory: its bytes can be seen and changed, its calls counted and made to fail, and a power
// cut taken at any moment.

#include <sqlite3.h>

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "protocol/base/bytes.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

using Files = std::map<std::string, Bytes>;

enum class DiskFault {
    none,
    io_error,    // the call fails; the sectors of the first half of a write may have been written
    sync_error,  // only syncs are counted, and fail
    full,        // writes and truncations fail with SQLITE_FULL, syncs with an I/O error; reads go on
};

enum class DiskCall { look, change, sync };

// Registered with SQLite under name() as long as it lives; connections must be closed before. File names are
// "/mem/...".
class MemoryVfs {
public:
    explicit MemoryVfs(Files files = {});
    MemoryVfs(const MemoryVfs&) = delete;
    MemoryVfs& operator=(const MemoryVfs&) = delete;
    ~MemoryVfs();

    const std::string& name() const { return name_; }

    // The files as the running process sees them.
    Files files() const;
    bool exists(const std::string& file) const { return files_.contains(file); }
    // Precondition: exists. Counts as synced.
    Bytes bytes(const std::string& file) const;
    void set_bytes(const std::string& file, Bytes bytes);
    // The same bytes, to be changed in their place behind the back of whoever has the file open. Precondition: exists.
    Bytes& raw(const std::string& file);

    // Calls that can fail (open, read, write, truncate, sync, delete) since the start or the last arm().
    std::int64_t calls() const { return calls_; }
    // Call number `at` (the first is 1) fails, and with `lasting` every one behind it, until disarm().
    void arm(DiskFault fault, std::int64_t at, bool lasting);
    void disarm() { fault_ = DiskFault::none; }
    // From now on questions for a size, a lock or a name's existence are calls that can fail, too.
    void count_side_calls() { counts_side_calls_ = true; }
    // For what stands beside the database on the same disk: counts as a call, and meets its fault.
    DiskFault next_call(DiskCall call);
    // A sync failed since the last arm().
    bool sync_failed() const { return sync_failed_; }

    // Hints about the size of a file so far, which the system's VFS would follow with holes.
    int size_hints() const { return size_hints_; }

    // What a power cut now would leave: everything synced, and of the rest any part, torn at 512-byte sectors; a file
    // made or deleted without a sync may or may not be so.
    Files after_power_cut(SeededRandom& random) const;

    struct Operation {
        std::int64_t offset = 0;
        Bytes bytes;
        bool truncation = false;  // to `offset`
    };
    struct File {
        Bytes now;
        Bytes synced;
        bool entry_synced = false;
        std::vector<Operation> unsynced;
        std::vector<struct MemoryHandle*> handles;
    };

private:
    friend struct MemoryCalls;

    std::string name_;
    sqlite3_vfs vfs_{};
    std::map<std::string, std::shared_ptr<File>> files_;
    // Deleted, and the deletion not synced yet: the last synced bytes.
    Files ghosts_;
    std::int64_t calls_ = 0;
    int size_hints_ = 0;
    DiskFault fault_ = DiskFault::none;
    std::int64_t fault_at_ = 0;
    bool lasting_ = false;
    bool counts_side_calls_ = false;
    bool sync_failed_ = false;
    SeededRandom random_{7};
};

}  // namespace ladderline::test
