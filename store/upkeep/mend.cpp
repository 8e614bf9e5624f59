#include "store/upkeep/mend.hpp"

#include <unistd.h>

#include "store/circles/circle_model.hpp"
#include "store/schema/schema.hpp"
#include "store/sqlite/checkpoint.hpp"
#include "store/upkeep/backup.hpp"
#include "store/upkeep/chain_check.hpp"
#include "store/upkeep/files.hpp"
#include "store/vault/database_files.hpp"
#include "store/vault/layout.hpp"

namespace ladderline::store {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t events_per_step = 512;

fs::path with(fs::path file, std::string_view end) {
    file += end;
    return file;
}

bool is_there(const fs::path& file) {
    std::error_code ignored;
    return fs::exists(file, ignored);
}

Result<std::int64_t> number(sqlite::Database& db, std::string_view sql) {
    std::int64_t out = 0;
    TRY(db.query(sql, [&](const sqlite::Row& row) { out = row.integer(0); }));
    return out;
}

Result<void> refuse_newer(sqlite::Database& db, sqlite::Database& empty) {
    TRY(const std::int64_t theirs, number(db, "PRAGMA user_version"));
    TRY(const std::int64_t ours, number(empty, "PRAGMA user_version"));
    if (theirs <= ours) return ok();
    return Error{Fault::unsupported,
                 "This store was made by a newer Ladderline; it was left as it is. Install the newer program."};
}

Result<bool> is_whole(sqlite::Database& db, const Progress& progress) {
    const Result<std::string> said = check_tables(db, [&progress] { return goes_on(progress, 1, 1); });
    if (!said && said.error().fault() == Fault::cancelled) return said.error();
    if (!said || said.value() != "ok") return false;
    ChainCheck check(db);
    for (bool more = true; more;) {
        TRY(more, check.step(events_per_step));
        if (!goes_on(progress, 1, 1)) return Error{Fault::cancelled, "Stopped; nothing was changed."};
    }
    return check.report().is_sound();
}

// The database file, its log, and where they go. On destruction a log that was set aside is put back, unless done.
class Places {
public:
    explicit Places(fs::path database_in_use)
        : database(std::move(database_in_use)), made(with(database, ".mending")), log_(with(database, "-wal")) {
        for (int number = 1; aside.empty() || is_there(aside) || is_there(with(aside, "-wal")); ++number) {
            aside = with(database, ".damaged-" + std::to_string(number));
        }
    }
    Places(const Places&) = delete;
    Places& operator=(const Places&) = delete;
    ~Places() {
        if (log_is_aside_ && !done_) static_cast<void>(move_file(with(aside, "-wal"), log_).has_value());
        if (is_begun_ && !done_) clear();
    }
    // Once the damaged database is open here: until then a new file beside it may be another program's, at work on it.
    void begin() {
        is_begun_ = true;
        clear();
    }

    bool has_log() const { return is_there(log_); }
    // By this count of pages, where no log holds any of them. Opening makes an empty log.
    bool is_cut_off(std::int64_t pages) const {
        std::error_code none;
        const std::uintmax_t log_bytes = fs::file_size(log_, none);
        if (!none && log_bytes > 0) return false;
        std::error_code unknown;
        const std::uintmax_t bytes = fs::file_size(database, unknown);
        return !unknown && bytes < static_cast<std::uintmax_t>(pages) * vault::page_bytes;
    }
    bool log_is_aside() const { return log_is_aside_; }
    Result<void> set_log_aside() {
        TRY(move_file(log_, with(aside, "-wal")));
        log_is_aside_ = true;
        return ok();
    }
    // The damaged file keeps a name at every moment.
    Result<void> swap() {
        if (has_log()) {
            TRY(set_log_aside());
        }
        if (::link(database.c_str(), aside.c_str()) != 0) {
            TRY(move_file(database, aside));  // a file system without links
        }
        TRY(move_file(made, database));
        done_ = true;
        return ok();
    }

    const fs::path database;
    const fs::path made;
    fs::path aside;

private:
    void clear() {
        remove_quietly(made);
        remove_quietly(with(made, "-wal"));
    }

    fs::path log_;
    bool log_is_aside_ = false;
    bool is_begun_ = false;
    bool done_ = false;
};

// What others say of a damaged store recommends to mend it.
Error beyond_mending() {
    return {
        Fault::damaged,
        "The beginning of the store's database, without which nothing else in it can be found, cannot be read, so it "
        "cannot be mended; everything is as it was. Restore a backup."};
}

// A log that does not open is set aside, and the database taken as its last checkpoint left it.
Result<sqlite::Database> open_damaged(Places& places, const protocol::AeadKey& key, Random& random) {
    const vault::OpenOptions options{false, {}, random, true};
    Result<sqlite::Database> opened = vault::open_database(places.database, key, options);
    if (!opened && opened.error().fault() == Fault::damaged && places.has_log()) {
        TRY(places.set_log_aside());
        opened = vault::open_database(places.database, key, options);
    }
    if (!opened && opened.error().fault() == Fault::damaged) return beyond_mending();
    return opened;
}

Result<MendReport> into_new_file(Places& places, const protocol::AeadKey& key, Random& random,
                                 std::vector<ReadModel*> models, const Progress& progress) {
    TRY(sqlite::Database from, open_damaged(places, key, random));
    places.begin();
    TRY(sqlite::Database into, vault::open_database(places.made, key, {true, {}, random}));
    TRY(bring_up_to_date(into));
    TRY(refuse_newer(from, into));
    TRY(const bool whole, is_whole(from, progress));
    // Its checks look at no page that nothing uses; a file that lacks one opens for nobody else all the same.
    TRY(const std::int64_t pages, number(from, "PRAGMA page_count"));
    if (whole && !places.log_is_aside() && !places.is_cut_off(pages)) {
        return Error{Fault::refused, "Every page of this store opens and every chain is whole; nothing was changed."};
    }
    EventLog log(into, random, std::move(models));
    TRY(MendReport report, salvage(from, into, log, progress));
    TRY(const std::string said, check_tables(into, [&progress] { return goes_on(progress, 1, 1); }));
    if (said != "ok") {
        return Error{Fault::damaged,
                     "The disk did not keep what was written, so nothing was mended and everything is as "
                     "it was; check the disk."};
    }
    TRY(sqlite::empty_the_log(into, "nothing was changed"));  // only the file itself is moved
    return report;
}

}  // namespace

Result<MendReport> mend(Disk& disk, const fs::path& folder, vault::SlotType type, ByteView secret, Random& random,
                        std::vector<std::unique_ptr<ReadModel>> models, const Progress& progress) {
    TRY(const vault::KeyFile keys, vault::KeyFile::open(disk, folder, type, secret));
    models.insert(models.begin(), std::make_unique<CircleModel>());
    std::vector<ReadModel*> pointers;
    for (const auto& model : models) pointers.push_back(model.get());
    TRY(const vault::DatabaseFiles files, vault::find_database(folder, keys.data_key(), {}));
    Places places(files.in_use);
    TRY(MendReport report, into_new_file(places, keys.data_key(), random, std::move(pointers), progress));
    TRY(places.swap());
    report.kept_as = places.aside;
    // The new file knows no instance and its own logs are at their end: there is nothing to compare.
    TRY(disk.remove(Water::file_in(folder)));
    return report;
}

}  // namespace ladderline::store
