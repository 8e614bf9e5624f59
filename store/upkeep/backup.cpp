#include "store/upkeep/backup.hpp"

#include <algorithm>
#include <optional>

#include "store/schema/schema.hpp"
#include "store/settings/settings.hpp"
#include "store/sqlite/checkpoint.hpp"
#include "store/sqlite/transaction.hpp"
#include "store/upkeep/chain_check.hpp"
#include "store/upkeep/files.hpp"
#include "store/upkeep/instance_notice.hpp"
#include "store/upkeep/last_check.hpp"
#include "store/vault/copy_database.hpp"
#include "store/vault/database_files.hpp"

namespace ladderline::store {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t events_per_step = 512;

std::function<bool()> watch(const Progress& progress) {
    return [&progress] { return goes_on(progress, 1, 1); };
}

fs::path log_of(fs::path database) {
    database += "-wal";
    return database;
}

Result<std::uint64_t> count_events(sqlite::Database& db) {
    std::uint64_t out = 0;
    TRY(db.query("SELECT count(*) FROM event",
                 [&](const sqlite::Row& row) { out = static_cast<std::uint64_t>(row.integer(0)); }));
    return out;
}

// Tables, then chains; the number of events.
Result<std::uint64_t> prove(sqlite::Database& db, const Progress& progress) {
    TRY(const std::string said, check_tables(db, watch(progress)));
    if (said != "ok") {
        return Error{Fault::damaged, "The copy is damaged (" + said + "); nothing was changed. Take another one."};
    }
    ChainCheck check(db);
    for (bool more = true; more;) {
        TRY(more, check.step(events_per_step));
        if (!goes_on(progress, 1, 1)) return Error{Fault::cancelled, "Stopped; nothing was changed."};
    }
    if (!check.report().is_sound()) {
        return Error{Fault::damaged,
                     "The copy is damaged, " + to_sentence(check.report()) + " Nothing was changed; take another one."};
    }
    return check.report().events;
}

// What a failed step made goes away again.
class Cleaner {
public:
    explicit Cleaner(fs::path folder) : folder_(std::move(folder)) {
        std::error_code ignored;
        folder_was_there_ = fs::exists(folder_, ignored);
    }
    Cleaner(const Cleaner&) = delete;
    Cleaner& operator=(const Cleaner&) = delete;
    ~Cleaner() {
        if (done_) return;
        for (const fs::path& file : files_) remove_quietly(file);
        std::error_code ignored;
        if (!folder_was_there_) fs::remove(folder_, ignored);
    }
    void made(fs::path file) { files_.push_back(std::move(file)); }
    void done() { done_ = true; }

private:
    fs::path folder_;
    std::vector<fs::path> files_;
    bool folder_was_there_ = false;
    bool done_ = false;
};

Result<BackupReport> report_of(std::uint64_t events, const fs::path& database) {
    std::error_code unknown;
    const std::uint64_t bytes = fs::file_size(database, unknown);
    return BackupReport{events, unknown ? 0 : bytes};
}

// In the restored database, before anybody uses it: the tables of today, no instance, every own log at its end.
Result<std::uint64_t> prepare_restored(const fs::path& file, const vault::KeyFile& keys, Random& random,
                                       const Progress& progress) {
    TRY(sqlite::Database db, vault::open_database(file, keys.data_key(), {false, {}, random}));
    TRY(bring_up_to_date(db));
    TRY(const std::uint64_t events, prove(db, progress));
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db));
    TRY(begin_instance(db, random.draw<InstanceId>()));
    TRY(db.run("DELETE FROM setting WHERE name = 'instance'"));
    TRY(forget_checks(db));
    TRY(keep_instance_notice(
        db, "This store came back from a copy and goes on in new logs. " + std::string(older_store_words)));
    TRY(tx.commit());
    TRY(sqlite::empty_the_log(db, "nothing was changed"));  // only the file itself is moved
    return events;
}

}  // namespace

Result<std::string> check_tables(sqlite::Database& db, const std::function<bool()>& go_on) {
    std::string said;
    db.on_work(go_on);
    const Result<void> outcome = db.query("PRAGMA integrity_check(5)", [&](const sqlite::Row& row) {
        std::string line = row.text(0);
        std::replace(line.begin(), line.end(), '\n', ' ');
        said += (said.empty() ? "" : "; ") + line;
    });
    db.on_work({});
    TRY(outcome);
    return said;
}

struct BackupWork::Parts {
    Parts(Store& of, Disk& on, fs::path where, Random& drawn)
        : store(of), disk(on), folder(std::move(where)), random(drawn), cleaner(folder) {}

    Store& store;
    Disk& disk;
    fs::path folder;
    Random& random;
    Cleaner cleaner;
    std::optional<vault::DatabaseCopy> copy;
    protocol::AeadKey key;
    std::uint64_t events_here = 0;
    std::uint64_t events_copied = 0;
};

BackupWork::BackupWork(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
BackupWork::~BackupWork() = default;

Result<std::unique_ptr<BackupWork>> BackupWork::begin(Store& store, Disk& disk, const fs::path& folder,
                                                      Random& random) {
    if (!is_empty_folder(folder)) {
        return Error{Fault::refused, folder.string() +
                                         " is not an empty folder, so no backup was made there; name a "
                                         "new one."};
    }
    auto parts = std::make_unique<Parts>(store, disk, folder, random);
    TRY(disk.make_folder(folder));
    const fs::path database = database_file(folder);
    for (const char* name : {"keys", "keys.copy", "keys.new", "keys.copy.new"}) parts->cleaner.made(folder / name);
    parts->cleaner.made(log_of(database));
    parts->cleaner.made(database);
    TRY(parts->events_here, count_events(store.db()));
    const protocol::AeadKey& key = store.keys().data_key();
    parts->key = protocol::AeadKey::copy_of(key.view());
    TRY(vault::DatabaseCopy copy, vault::DatabaseCopy::begin(store.db(), key, database, key, {false, {}, random}));
    parts->copy.emplace(std::move(copy));
    return std::unique_ptr<BackupWork>(new BackupWork(std::move(parts)));
}

Result<void> BackupWork::copy(const Progress& progress) {
    TRY(parts_->copy->write(progress));
    TRY(sqlite::Database copied,
        vault::open_database(database_file(parts_->folder), parts_->key, {false, {}, parts_->random}));
    TRY(parts_->events_copied, prove(copied, progress));
    return ok();
}

Result<BackupReport> BackupWork::finish() {
    if (parts_->events_copied != parts_->events_here) {
        return Error{Fault::damaged,
                     "The copy does not hold what the store holds, so it was removed; run "
                     "'ladderline check'."};
    }
    TRY(parts_->store.keys().write_to(parts_->disk, parts_->folder));
    parts_->cleaner.done();
    return report_of(parts_->events_copied, database_file(parts_->folder));
}

Result<BackupReport> back_up(Store& store, Disk& disk, const fs::path& folder, Random& random,
                             const Progress& progress) {
    TRY(const std::unique_ptr<BackupWork> work, BackupWork::begin(store, disk, folder, random));
    TRY(work->copy(progress));
    return work->finish();
}

Result<BackupReport> restore(Disk& disk, const fs::path& backup, const fs::path& home, vault::SlotType type,
                             ByteView secret, Random& random, const Progress& progress) {
    TRY(const bool has_keys, vault::has_key_file(disk, backup));
    bool has_database = false;
    for (const char* name : vault::database_names) {
        TRY(const bool found, disk.exists(backup / name));
        has_database = has_database || found;
    }
    if (!has_keys || !has_database) {
        return Error{Fault::not_found, "There is no backup in " + backup.string() + "; nothing was changed."};
    }
    std::vector<fs::path> ours{home / "keys", home / "keys.copy", Water::file_in(home)};
    for (const char* name : vault::database_names) {
        ours.push_back(home / name);
        ours.push_back(log_of(home / name));  // SQLite would read it into the database that comes back
    }
    for (const fs::path& file : ours) {
        TRY(const bool found, disk.exists(file));
        if (found) {
            return Error{Fault::refused, "There is a store in " + home.string() + " already, or a part of one (" +
                                             file.filename().string() +
                                             "); nothing was changed. Name an empty folder with --home."};
        }
    }
    TRY(const vault::KeyFile keys, vault::KeyFile::open(disk, backup, type, secret));
    TRY(const vault::DatabaseFiles files, vault::find_database(backup, keys.data_key(), {}));
    Cleaner cleaner(home);
    TRY(disk.make_folder(home));
    const fs::path copy = home / "store.db.restoring";
    cleaner.made(log_of(copy));
    cleaner.made(copy);
    remove_quietly(log_of(copy));
    TRY(copy_file(files.in_use, copy, progress));
    TRY(const bool has_log, disk.exists(log_of(files.in_use)));
    if (has_log) {
        TRY(copy_file(log_of(files.in_use), log_of(copy), progress));
    }
    TRY(const std::uint64_t events, prepare_restored(copy, keys, random, progress));
    for (const char* name : {"keys", "keys.copy"}) cleaner.made(home / name);
    cleaner.made(database_file(home));
    TRY(move_file(copy, database_file(home)));
    TRY(keys.write_to(disk, home));
    cleaner.done();
    return report_of(events, database_file(home));
}

}  // namespace ladderline::store
