#pragma once
// The step before SQLite sees the file: make it if asked, and prove the key on its clear header. A wrong key must end
// here: to SQLite a log that does not open is an empty one, which it deletes.

#include <filesystem>
#include <string>

#include "store/vault/base_file.hpp"
#include "store/vault/page_codec.hpp"

namespace ladderline::store::vault {

using BaseVfs = sqlite3_vfs*;

// `name` empty: the system's.
Result<BaseVfs> find_vfs(const std::string& name);

// As that VFS writes it.
Result<std::string> full_path(BaseVfs vfs, const std::filesystem::path& file);

// The header of the file at the full path `path`, checked against the key. With `create`, a file that is missing,
// empty, or whose creation was cut off (its header, written last, is still zeros) becomes a database without tables
// first.
Result<FileHeader> prepare_file(BaseVfs vfs, const std::string& path, const protocol::AeadKey& data_key, bool create,
                                Random& random);

}  // namespace ladderline::store::vault
