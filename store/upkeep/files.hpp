#pragma once
// Whole files of a store, moved and copied as they lie on the disk.

#include <filesystem>

#include "protocol/base/result.hpp"
#include "store/upkeep/progress.hpp"

namespace ladderline::store {

// Byte for byte, on the disk on success; mode 0600; replaces `to`. After an error there is no `to`.
Result<void> copy_file(const std::filesystem::path& from, const std::filesystem::path& to, const Progress& progress);
// Within one folder, replacing what is at `to`; on the disk on success.
Result<void> move_file(const std::filesystem::path& from, const std::filesystem::path& to);
// Says nothing if it is not there or cannot be removed.
void remove_quietly(const std::filesystem::path& file);

// Also where nothing is.
bool is_empty_folder(const std::filesystem::path& folder);

}  // namespace ladderline::store
