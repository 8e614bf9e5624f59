#pragma once
// A sealed copy of a store in a folder of its own, and a store made from one. A backup holds the database and the two
// copies of the key file, sealed as in the store; the same passphrase opens it. The high-water record stays behind: who
// goes on from a backup goes on as a new instance, in new logs.

#include <memory>

#include "store/store.hpp"
#include "store/upkeep/progress.hpp"

namespace ladderline::store {

struct BackupReport {
    std::uint64_t events = 0;
    std::uint64_t bytes = 0;
};

// Of the open store, into an empty or missing folder (refused otherwise). The key file is written last, so that a
// folder without one is no backup; before that, the copy is opened and checked to its last page. After an error the
// folder is as it was. Not inside a transaction.
Result<BackupReport> back_up(Store& store, Disk& disk, const std::filesystem::path& folder, Random& random,
                             const Progress& progress);

// The same in parts, of which the long one needs the store no longer: it goes on meanwhile.
class BackupWork {
public:
    // The backup will be the store as it is now. begin, finish and the end of the object on the store's own thread;
    // `store` and `disk` outlive the object. Errors as above.
    static Result<std::unique_ptr<BackupWork>> begin(Store& store, Disk& disk, const std::filesystem::path& folder,
                                                     Random& random);
    ~BackupWork();
    BackupWork(const BackupWork&) = delete;
    BackupWork& operator=(const BackupWork&) = delete;

    // On any thread, once. `progress` is called there.
    Result<void> copy(const Progress& progress);
    // After copy() went well. Without it nothing is left of the backup at the end of the object.
    Result<BackupReport> finish();

private:
    struct Parts;
    explicit BackupWork(std::unique_ptr<Parts> parts);
    std::unique_ptr<Parts> parts_;
};

// Into a folder that holds no store (refused otherwise). The secret, of any kind of slot, and every page and chain of
// the copy are checked first; after an error nothing is there. A folder that was copied from a store by other means is
// taken as well if it is whole. unsupported: made by a newer program.
Result<BackupReport> restore(Disk& disk, const std::filesystem::path& backup, const std::filesystem::path& home,
                             vault::SlotType type, ByteView secret, Random& random, const Progress& progress);

// "ok", or what SQLite's own check says about pages, tables and indexes, at most a few lines. damaged, disk: a page
// cannot be read. cancelled.
Result<std::string> check_tables(sqlite::Database& db, const std::function<bool()>& go_on);

}  // namespace ladderline::store
