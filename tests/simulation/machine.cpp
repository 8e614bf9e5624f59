#include "tests/simulation/machine.hpp"

#include "store/schema/schema.hpp"
#include "store/vault/open_database.hpp"

namespace ladderline::simulation {
namespace {

const std::string database_file = "/mem/store.db";
const std::filesystem::path folder = "/mem";

const protocol::AeadKey& data_key() {
    static const protocol::AeadKey key = [] {
        Dice dice(20261125);
        return protocol::AeadKey::random(dice);
    }();
    return key;
}

}  // namespace

const test::Files& Machine::empty_store() {
    static const test::Files made = [] {
        test::MemoryVfs vfs;
        Dice dice(7);
        {
            auto opened = store::vault::open_database(database_file, data_key(), {true, vfs.name(), dice});
            ENSURE(opened.has_value() && store::bring_up_to_date(opened.value()).has_value());
        }
        return vfs.files();
    }();
    return made;
}

Result<store::sqlite::Database> Machine::open(Random& random) {
    TRY(auto opened, store::vault::open_database(database_file, data_key(), {false, vfs_->name(), random}));
    TRY(store::bring_up_to_date(opened));
    return opened;
}

Result<std::unique_ptr<store::WaterKeeper>> Machine::watch(store::sqlite::Database& db, Random& random) {
    return store::WaterKeeper::open(small_, folder, data_key(), db, random);
}

void Machine::replace(FolderCopy with) {
    vfs_ = std::make_unique<test::MemoryVfs>(std::move(with.database));
    small_.set(std::move(with.small));
}

void Machine::kill() {
    replace(copy());
}

void Machine::put_back(const FolderCopy& from, bool with_record) {
    replace({from.database, with_record ? from.small : SmallDisk::Files(small_.files)});
}

void Machine::cut_power(Dice& dice) {
    test::Files database = vfs_->after_power_cut(dice);
    SmallDisk::Files small = small_.after_power_cut(dice);
    replace({std::move(database), std::move(small)});
}

}  // namespace ladderline::simulation
