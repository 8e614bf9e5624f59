#pragma once
// A second, complete file of an open store: for a backup, or under a new data key. In one go, or in parts of which the
// long one runs beside the store's own work.

#include "store/upkeep/progress.hpp"
#include "store/vault/open_database.hpp"

namespace ladderline::store::vault {

// Writes the log of `open` into its database, then copies page by page, each opened under `key` and sealed under
// `target_key` with a salt of its own; constant memory. Not inside a transaction (a bug of ours). Every page is proven
// on the way, so a copy that succeeds is also a full check of the source.
//
// `options.create` does not count. `progress` counts pages. refused: there is a file at `target`, untouched. cancelled:
// `progress` said so. After any error there is none. The copy is readable by its owner alone.
Result<void> copy_database(sqlite::Database& open, const protocol::AeadKey& key, const std::filesystem::path& target,
                           const protocol::AeadKey& target_key, const OpenOptions& options,
                           const Progress& progress = {});

// The same in parts. From `begin` to the end of the object the database file stays as it is, whatever is written: that
// goes to the log, which grows. So the copy is the store as it was at `begin`.
class DatabaseCopy {
public:
    // All but write() on the thread that uses `open`, which outlives the object.
    static Result<DatabaseCopy> begin(sqlite::Database& open, const protocol::AeadKey& key,
                                      const std::filesystem::path& target, const protocol::AeadKey& target_key,
                                      const OpenOptions& options);
    DatabaseCopy(DatabaseCopy&& other) noexcept;
    DatabaseCopy& operator=(DatabaseCopy&&) = delete;
    ~DatabaseCopy();

    // On any thread, once. `random` of the options must bear that.
    Result<void> write(const Progress& progress);

private:
    DatabaseCopy(sqlite::Database& open, std::string source, std::string target, protocol::AeadKey key,
                 protocol::AeadKey target_key, const OpenOptions& options);

    sqlite::Database* open_;  // null: moved from
    std::string source_;
    std::string target_;
    protocol::AeadKey key_;
    protocol::AeadKey target_key_;
    std::string base_vfs_;
    Random& random_;
};

}  // namespace ladderline::store::vault
