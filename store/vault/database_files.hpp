#pragma once
// Which of the two files a store's database may stand in is the one in use. There are two names so that a copy under a
// new data key can be finished beside the old file: the key file, replaced whole, decides between them, and no file is
// ever renamed. The file in use is the one whose clear header proves the data key.

#include <array>
#include <filesystem>
#include <string>

#include "protocol/crypto/aead.hpp"

namespace ladderline::store::vault {

inline constexpr std::array<const char*, 2> database_names{"store.db", "store.2.db"};

struct DatabaseFiles {
    std::filesystem::path in_use;  // if neither proves the key: the one whose opening says what is wrong
    std::filesystem::path other;
    bool other_exists = false;  // it or its log
};
// Changes nothing. Errors: disk.
Result<DatabaseFiles> find_database(const std::filesystem::path& folder, const protocol::AeadKey& data_key,
                                    const std::string& base_vfs);

// Removes the file that is not in use, and its log first, after its bytes have been overwritten once. A disk that
// writes elsewhere than told may keep the sealed bytes all the same. Nothing there is no error. busy: it is open.
Result<void> remove_database(const std::filesystem::path& file, const std::string& base_vfs);

// A copied file's name is on the disk afterwards, not its bytes alone. With a base VFS of its own: nothing to do.
Result<void> sync_name(const std::filesystem::path& file, const std::string& base_vfs);

// The file and its log become readable by their owner alone (mode 0600), if the system's VFS holds them.
void make_private(const std::filesystem::path& file, const std::string& base_vfs);

}  // namespace ladderline::store::vault
