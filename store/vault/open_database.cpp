#include "store/vault/open_database.hpp"

#include <sqlite3.h>

#include "store/sqlite/error.hpp"
#include "store/vault/database_files.hpp"
#include "store/vault/file_header.hpp"
#include "store/vault/vfs.hpp"

namespace ladderline::store::vault {
namespace {

// The order matters: EXCLUSIVE before the first read, or SQLite would ask for shared memory.
constexpr std::string_view profile = R"sql(
    PRAGMA locking_mode=EXCLUSIVE;
    PRAGMA cache_spill=OFF;
    PRAGMA temp_store=MEMORY;
    PRAGMA mmap_size=0;
    PRAGMA synchronous=FULL;
    PRAGMA secure_delete=ON;
    PRAGMA foreign_keys=ON;
    PRAGMA trusted_schema=OFF;
    PRAGMA cache_size=-16384;
    PRAGMA journal_size_limit=4194304;
)sql";

Error already_open() {
    return {Fault::busy, "This store is already open in another Ladderline; close that one first."};
}

Result<void> apply_profile(sqlite::Database& database) {
    sqlite3* connection = database.handle();
    sqlite3_db_config(connection, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(connection, SQLITE_DBCONFIG_DQS_DML, 0, nullptr);
    sqlite3_db_config(connection, SQLITE_DBCONFIG_DQS_DDL, 0, nullptr);
    TRY(database.execute(profile));
    sqlite3_wal_autocheckpoint(connection, log_pages_max);
    // The first read takes the lock and recovers the log.
    std::string mode;
    TRY(database.query("SELECT count(*) FROM sqlite_schema", [](const sqlite::Row&) {}));
    TRY(database.query("PRAGMA journal_mode", [&](const sqlite::Row& row) { mode = row.text(0); }));
    ENSURE(mode == "wal");
    return ok();
}

}  // namespace

Result<sqlite::Database> open_database(const std::filesystem::path& file, const protocol::AeadKey& data_key,
                                       const OpenOptions& options) {
    TRY(const BaseVfs below, find_vfs(options.base_vfs));
    TRY(const std::string path, full_path(below, file));
    TRY(const FileHeader header, prepare_file(below, path, data_key, options.create, options.random));
    make_private(path, options.base_vfs);  // SQLite gives the log the mode of its database

    auto vfs = std::make_shared<VaultVfs>(below, path, header, data_key, options.random, options.to_salvage);
    sqlite3* connection = nullptr;
    const int code =
        sqlite3_open_v2(path.c_str(), &connection, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE,
                        vfs->name().c_str());
    sqlite::Database database = sqlite::Database::adopt(connection, vfs);
    if (code != SQLITE_OK) return sqlite::error_of(code, connection);
    if (sqlite3_db_readonly(connection, "main") == 1) return sqlite::error_of(SQLITE_READONLY, connection);
    Result<void> outcome = apply_profile(database);
    if (!outcome) {
        if (outcome.error().fault() == Fault::busy) return already_open();
        return std::move(outcome).error();
    }
    return database;
}

}  // namespace ladderline::store::vault
