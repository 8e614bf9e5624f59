#pragma once
// The VFS of one open store: it opens the database file and its log, sealed, and nothing else.

#include <memory>
#include <string>

#include "store/vault/sealed_file.hpp"

namespace ladderline::store::vault {

// Lives as long as the connection that was opened through it, which keeps pointers into it.
// Registered with SQLite under a name of its own all that time: VACUUM looks it up again.
class VaultVfs {
public:
    // `file`: full path as the VFS below writes it. `header`: the clear header of the file, checked against `data_key`.
    // `to_salvage`: see OpenOptions.
    VaultVfs(sqlite3_vfs* below, std::string file, ByteView header, const protocol::AeadKey& data_key, Random& random,
             bool to_salvage);
    VaultVfs(const VaultVfs&) = delete;
    VaultVfs& operator=(const VaultVfs&) = delete;
    ~VaultVfs() { sqlite3_vfs_unregister(&vfs_); }

    const std::string& name() const { return name_; }

private:
    friend struct VfsCalls;

    sqlite3_vfs* below_;
    std::string file_;
    std::string log_file_;
    std::string name_;
    VaultKeys keys_;
    sqlite3_vfs vfs_{};
    // Set at the first open; a second handle on the database is refused.
    bool main_opened_ = false;
};

}  // namespace ladderline::store::vault
