#include "tests/simulation/node.hpp"

#include "store/schema/schema.hpp"
#include "store/vault/open_database.hpp"
#include "tests/simulation/planted.hpp"

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

std::vector<std::unique_ptr<store::ReadModel>> make_models(Planted planted, const WallTime& clock) {
    std::vector<std::unique_ptr<store::ReadModel>> out;
    out.push_back(std::make_unique<store::CircleModel>());
    out.push_back(std::make_unique<node::LadderModel>());
    out.push_back(std::make_unique<node::ClubModel>());
    out.push_back(std::make_unique<node::ContactModel>());
    out.push_back(std::make_unique<node::DeskModel>());
    if (planted == Planted::asks_the_clock) out.push_back(std::make_unique<ClockModel>(clock));
    if (planted == Planted::order_dependent_model) out.push_back(std::make_unique<OrderDependentModel>());
    return out;
}

store::Identity identity_of(const test::Person& person) {
    return {{person.identity.pub, person.identity.secret.clone()},
            {person.device.pub, person.device.secret.clone()},
            {person.noise.pub, person.noise.secret.clone()},
            {person.box.pub, person.box.secret.clone()},
            person.certificate()};
}

test::Person copy_of(const test::Person& person) {
    return {person.name,
            {person.identity.pub, person.identity.secret.clone()},
            {person.device.pub, person.device.secret.clone()},
            {person.noise.pub, person.noise.secret.clone()},
            {person.box.pub, person.box.secret.clone()}};
}

// An empty store, made once: every node begins with a copy.
const test::Files& empty_store(Planted planted) {
    static std::map<Planted, test::Files> made;
    test::Files& files = made[planted];
    if (!files.empty()) return files;
    test::MemoryVfs vfs;
    Dice dice(7);
    {
        auto opened = store::vault::open_database(database_file, data_key(), {true, vfs.name(), dice});
        ENSURE(opened.has_value() && store::bring_up_to_date(opened.value()).has_value());
        const WallTime clock;
        const auto models = make_models(planted, clock);
        std::vector<store::ReadModel*> all;
        for (const auto& model : models) all.push_back(model.get());
        ENSURE(store::EventLog(opened.value(), dice, all).prepare().has_value());
    }
    files = vfs.files();
    return files;
}

}  // namespace

struct Node::Open {
    store::sqlite::Database db;
    store::EventLog log;
    std::unique_ptr<store::WaterKeeper> water;

    Open(store::sqlite::Database opened, Random& random, const std::vector<store::ReadModel*>& models)
        : db(std::move(opened)), log(db, random, models) {}
};

Node::Node(std::string name, std::size_t number, const test::Person& who, std::uint64_t seed, Planted planted)
    : Station(std::move(name)),
      owner(number),
      me(identity_of(who)),
      person(copy_of(who)),
      random_(seed),
      planted_(planted),
      vfs_(std::make_unique<test::MemoryVfs>(empty_store(planted))),
      own_models_(make_models(planted, clock_)) {
    for (const auto& model : own_models_) models_.push_back(model.get());
}

Node::~Node() {
    disk().disarm();
    stop();
}

Result<void> Node::start() {
    TRY(auto opened, store::vault::open_database(database_file, data_key(), {false, vfs_->name(), random_}));
    TRY(store::bring_up_to_date(opened));
    auto open = std::make_unique<Open>(std::move(opened), random_, models_);
    TRY(open->log.prepare());
    open->log.act_as(me.own_device());
    TRY(open->water, store::WaterKeeper::open(small_, folder, data_key(), open->db, random_));
    open_ = std::move(open);
    view_ = &open_->log;
    if (planted_ == Planted::loses_logs) {
        own_view_ = std::make_unique<FaultyView>(open_->log);
        view_ = own_view_.get();
    }
    return ok();
}

void Node::stop() {
    open_.reset();
    own_view_.reset();
    view_ = nullptr;
}

void Node::replace_disk(test::Files database, SmallDisk::Files small) {
    stop();
    vfs_ = std::make_unique<test::MemoryVfs>(std::move(database));
    small_.set(std::move(small));
}

void Node::kill() {
    replace_disk(vfs_->files(), small_.files);
}

void Node::cut_power(Dice& dice) {
    test::Files database = vfs_->after_power_cut(dice);
    SmallDisk::Files small = small_.after_power_cut(dice);
    replace_disk(std::move(database), std::move(small));
}

FolderCopy Node::copy() const {
    return {vfs_->files(), small_.files, acknowledged.size()};
}

void Node::put_back(const FolderCopy& from, bool with_record) {
    const SmallDisk::Files small = small_.files;
    replace_disk(from.database, with_record ? from.small : small);
    was_put_back = true;
    welcomed.clear();
}

store::EventLog& Node::log() {
    return open_->log;
}

store::sqlite::Database& Node::db() {
    return open_->db;
}

}  // namespace ladderline::simulation
