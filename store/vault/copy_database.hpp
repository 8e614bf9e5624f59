#pragma once
// A second, complete file of an open store: for a backup, or under a new data key.

#include "store/upkeep/progress.hpp"
#include "store/vault/open_database.hpp"

namespace ladderline::store::vault {

// Writes the log of `open` into its database, then copies page by page, each opened under `key` and sealed under
// `target_key` with a salt of its own; constant memory. Not inside a transaction (a bug of ours). Every page is proven
// on the way, so a copy that succeeds is also a full check of the source.
//
// `options.create` does not count. `progress` counts pages. refused: there is a file at `target`, untouched. After any
// error there is none.
Result<void> copy_database(sqlite::Database& open, const protocol::AeadKey& key, const std::filesystem::path& target,
                           const protocol::AeadKey& target_key, const OpenOptions& options,
                           const Progress& progress = {});

}  // namespace ladderline::store::vault
