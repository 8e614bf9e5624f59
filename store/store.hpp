#pragma once
// One person's store: a folder with the key file and the encrypted database, opened as a whole.

#include <filesystem>
#include <memory>

#include "store/event_log/event_log.hpp"
#include "store/upkeep/instance.hpp"
#include "store/vault/key_file.hpp"
#include "store/vault/open_database.hpp"

namespace ladderline::store {

struct StoreFolder {
    std::filesystem::path folder;
    std::string base_vfs = {};  // tests; empty: the system's
};

// Neither copied nor moved: the log refers to the database. Models are owned by the store.
class Store {
public:
    // A new store, or one whose making was interrupted (then the passphrase must be the one of then).
    // `models` besides the circle model, which is always first. `disk` outlives the store.
    static Result<std::unique_ptr<Store>> create(Disk& disk, const StoreFolder& where, ByteView passphrase,
                                                 const protocol::PassphraseCost& cost, Random& random,
                                                 std::vector<std::unique_ptr<ReadModel>> models);
    // not_found: no store in that folder. wrong_key, busy, damaged, unsupported: as the parts say.
    static Result<std::unique_ptr<Store>> open(Disk& disk, const StoreFolder& where, ByteView passphrase,
                                               Random& random, std::vector<std::unique_ptr<ReadModel>> models);

    // Opened by the secret of another kind of slot (paper key, key file).
    static Result<std::unique_ptr<Store>> open(Disk& disk, const StoreFolder& where, vault::SlotType type,
                                               ByteView secret, Random& random,
                                               std::vector<std::unique_ptr<ReadModel>> models);

    // Which secrets open it; changed there.
    vault::KeyFile& keys() { return keys_; }
    const vault::KeyFile& keys() const { return keys_; }
    sqlite::Database& db() { return db_; }
    EventLog& log() { return log_; }
    // By which peers know what they have seen of this store.
    const InstanceId& instance() const { return water_->instance(); }
    // One or more sentences about what opening found; empty: nothing.
    const std::string& notice() const { return water_->notice(); }

private:
    Store(vault::KeyFile keys, sqlite::Database db, Random& random, std::vector<std::unique_ptr<ReadModel>> models);
    static Result<std::unique_ptr<Store>> open_with(vault::KeyFile keys, Disk& disk, const StoreFolder& where,
                                                    bool create, Random& random,
                                                    std::vector<std::unique_ptr<ReadModel>> models);

    vault::KeyFile keys_;
    sqlite::Database db_;
    std::vector<std::unique_ptr<ReadModel>> models_;
    EventLog log_;
    std::unique_ptr<WaterKeeper> water_;
};

std::filesystem::path database_file(const std::filesystem::path& folder);

}  // namespace ladderline::store
