#pragma once
// A store's database: sealed on the disk, an ordinary sqlite::Database to its user.

#include <filesystem>
#include <string>

#include "protocol/base/random.hpp"
#include "protocol/crypto/aead.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store::vault {

struct OpenOptions {
    // Make the file if it is not there (its folder must be).
    bool create = false;
    // Name of the SQLite VFS that holds the bytes; empty: the system's.
    std::string base_vfs;
    // Drawn from while opening only.
    Random& random;
    // For mend(): the file counts as long as its first page says, so that pages which are missing at its end are
    // damaged ones, each by itself, and not the end of everything; and it takes no writing, so that it stays as it was
    // found.
    bool to_salvage = false;
};

// Pages of log after which SQLite empties it into the database: 2 MiB, read again after a crash in well under 10 ms.
inline constexpr int log_pages_max = 512;

// Opens the database with the profile that the file format rests on: WAL, EXCLUSIVE locking, no cache spill, temporary
// tables in memory, synchronous=FULL, secure_delete, foreign keys; a log of about 2 MiB at most between checkpoints.
// These settings must not be changed on the connection. The file and its log are readable by their owner alone.
//
// wrong_key: `data_key` does not belong to this file. busy: open already, here or in another process. not_found: no
// file and not `create`. damaged, unsupported, disk: as sqlite/error.hpp. After any error the files are as they were.
Result<sqlite::Database> open_database(const std::filesystem::path& file, const protocol::AeadKey& data_key,
                                       const OpenOptions& options);

}  // namespace ladderline::store::vault
