#pragma once
// Where a new store may live: on a disk of this machine, and not where another program copies files about. Locks do not
// hold on a share, and a file that is replaced under an open store is damage.

#include <cstdint>
#include <filesystem>

#include "protocol/base/result.hpp"

namespace ladderline::node {

// `type` as statfs(2) gives it: NFS, SMB, 9P and file systems served by a program.
bool is_shared_file_system(std::uint64_t type);

// refused: the folder, or the nearest one above it that exists, is on such a file system; or a folder above it holds a
// hidden entry whose name begins with ".sync", the usual mark of a folder that is kept the same on several machines.
// What cannot be found out is no reason to refuse.
Result<void> check_store_place(const std::filesystem::path& folder);

// not_found: no store was begun in the folder. Said before anybody is asked for a passphrase.
Result<void> store_must_be_there(const std::filesystem::path& folder);

}  // namespace ladderline::node
