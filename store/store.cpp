#include "store/store.hpp"

#include "store/circles/circle_model.hpp"
#include "store/schema/schema.hpp"

namespace ladderline::store {
namespace {

std::vector<ReadModel*> pointers(const std::vector<std::unique_ptr<ReadModel>>& models) {
    std::vector<ReadModel*> out;
    for (const auto& model : models) out.push_back(model.get());
    return out;
}

// With two database files, a key file that only half says which one counts must not be worked on: the other half could
// bring the older file back.
Error unsettled() {
    return {Fault::disk,
            "A new key of this store was cut off in the middle and the disk takes no writing to finish it; nothing was "
            "changed. Make room on the disk and try again."};
}

Error not_renewed() {
    return {
        Fault::disk,
        "The disk did not take the new key, so the old one stays in force and nothing is lost; make room on the disk "
        "and try again."};
}

Error half_renewed() {
    return {Fault::disk,
            "The disk failed while the new key was being written; nothing is lost, and the store opens with the old or "
            "the new passphrase. Check the disk, open the store once, and see which it is."};
}

// On the disk at once.
Result<void> begin_water(Disk& disk, const std::filesystem::path& folder, const protocol::AeadKey& data_key,
                         const HighWater& record) {
    Water water(disk, folder, data_key);
    TRY(water.load());
    return water.save(record, true);
}

}  // namespace

std::filesystem::path database_file(const std::filesystem::path& folder) {
    return folder / "store.db";
}

Store::Store(vault::KeyFile keys, StoreFolder where, vault::DatabaseFiles files, sqlite::Database db, Random& random,
             std::vector<std::unique_ptr<ReadModel>> models)
    : keys_(std::move(keys)),
      where_(std::move(where)),
      files_(std::move(files)),
      db_(std::move(db)),
      models_(std::move(models)),
      log_(db_, random, pointers(models_)) {}

Result<std::unique_ptr<Store>> Store::open_with(vault::KeyFile keys, Disk& disk, const StoreFolder& where, bool create,
                                                Random& random, std::vector<std::unique_ptr<ReadModel>> models) {
    TRY(vault::DatabaseFiles files, vault::find_database(where.folder, keys.data_key(), where.base_vfs));
    if (files.other_exists && !keys.is_settled()) return unsettled();
    TRY(sqlite::Database db, vault::open_database(files.in_use, keys.data_key(), {create, where.base_vfs, random}));
    // Left over from a new key that was cut off, or done; at the next opening if it does not work now.
    if (files.other_exists) static_cast<void>(vault::remove_database(files.other, where.base_vfs).has_value());
    TRY(bring_up_to_date(db));
    models.insert(models.begin(), std::make_unique<CircleModel>());
    std::unique_ptr<Store> store(
        new Store(std::move(keys), where, std::move(files), std::move(db), random, std::move(models)));
    TRY(store->log_.prepare());
    TRY(store->water_, WaterKeeper::open(disk, where.folder, store->keys_.data_key(), store->db_, random));
    return store;
}

Result<std::unique_ptr<Store>> Store::create(Disk& disk, const StoreFolder& where, ByteView passphrase,
                                             const protocol::PassphraseCost& cost, Random& random,
                                             std::vector<std::unique_ptr<ReadModel>> models) {
    TRY(disk.make_folder(where.folder));
    TRY(const bool begun, vault::has_key_file(disk, where.folder));
    if (begun) {
        TRY(auto keys, vault::KeyFile::open(disk, where.folder, passphrase));
        return open_with(std::move(keys), disk, where, true, random, std::move(models));
    }
    TRY(auto keys, vault::KeyFile::create(disk, where.folder, passphrase, cost, random));
    return open_with(std::move(keys), disk, where, true, random, std::move(models));
}

Result<std::unique_ptr<Store>> Store::open(Disk& disk, const StoreFolder& where, ByteView passphrase, Random& random,
                                           std::vector<std::unique_ptr<ReadModel>> models) {
    return open(disk, where, vault::SlotType::passphrase, passphrase, random, std::move(models));
}

Result<std::unique_ptr<Store>> Store::open(Disk& disk, const StoreFolder& where, vault::SlotType type, ByteView secret,
                                           Random& random, std::vector<std::unique_ptr<ReadModel>> models) {
    TRY(const bool begun, vault::has_key_file(disk, where.folder));
    if (!begun) {
        return Error{Fault::not_found,
                     "There is no store in " + where.folder.string() + "; begin with 'ladderline begin'."};
    }
    TRY(auto keys, vault::KeyFile::open(disk, where.folder, type, secret));
    return open_with(std::move(keys), disk, where, false, random, std::move(models));
}

Result<void> Store::renew_data_key(std::unique_ptr<Store> store, Disk& disk, std::span<const vault::SlotSecret> secrets,
                                   Random& random, const Progress& progress) {
    const std::string base_vfs = store->where_.base_vfs;
    const vault::DatabaseFiles files = store->files_;
    vault::KeyFile& old_keys = store->keys_;
    TRY(vault::KeyFile new_keys, old_keys.with_new_data_key(secrets, random));
    TRY(vault::remove_database(files.other, base_vfs));
    TRY(vault::copy_database(store->db_, old_keys.data_key(), files.other, new_keys.data_key(),
                             {false, base_vfs, random}, progress));
    Result<void> written = vault::sync_name(files.other, base_vfs);
    // From the first copy of the key file on, the new database counts; the open old one keeps every other process out.
    if (written) written = new_keys.write_over(disk, old_keys);
    if (!written) {
        // Only once the old key file is surely back may the copy go.
        if (!old_keys.write_over(disk, new_keys)) return half_renewed();
        static_cast<void>(vault::remove_database(files.other, base_vfs).has_value());
        return not_renewed();
    }
    // The record of the old key means nothing under the new one. Without it the next opening begins a new instance.
    const auto water = measure(store->db_, store->instance());
    const std::filesystem::path folder = store->where_.folder;
    store.reset();
    if (water) static_cast<void>(begin_water(disk, folder, new_keys.data_key(), water.value()).has_value());
    static_cast<void>(vault::remove_database(files.in_use, base_vfs).has_value());
    return ok();
}

}  // namespace ladderline::store
