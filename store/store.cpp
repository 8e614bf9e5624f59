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

}  // namespace

std::filesystem::path database_file(const std::filesystem::path& folder) {
    return folder / "store.db";
}

Store::Store(vault::KeyFile keys, sqlite::Database db, Random& random, std::vector<std::unique_ptr<ReadModel>> models)
    : keys_(std::move(keys)), db_(std::move(db)), models_(std::move(models)), log_(db_, random, pointers(models_)) {}

Result<std::unique_ptr<Store>> Store::open_with(vault::KeyFile keys, Disk& disk, const StoreFolder& where, bool create,
                                                Random& random, std::vector<std::unique_ptr<ReadModel>> models) {
    TRY(sqlite::Database db,
        vault::open_database(database_file(where.folder), keys.data_key(), {create, where.base_vfs, random}));
    TRY(bring_up_to_date(db));
    models.insert(models.begin(), std::make_unique<CircleModel>());
    std::unique_ptr<Store> store(new Store(std::move(keys), std::move(db), random, std::move(models)));
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

}  // namespace ladderline::store
