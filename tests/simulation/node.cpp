#include "tests/simulation/node.hpp"

#include "tests/simulation/planted.hpp"

namespace ladderline::simulation {
namespace {

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

// A store without events, made once: every node begins with a copy.
const test::Files& empty_store(Planted planted) {
    static std::map<Planted, test::Files> made;
    test::Files& files = made[planted];
    if (!files.empty()) return files;
    Machine machine(Machine::empty_store());
    Dice dice(7);
    {
        auto opened = machine.open(dice);
        ENSURE(opened.has_value());
        const WallTime clock;
        const auto models = make_models(planted, clock);
        std::vector<store::ReadModel*> all;
        for (const auto& model : models) all.push_back(model.get());
        ENSURE(store::EventLog(opened.value(), dice, all).prepare().has_value());
    }
    files = machine.copy().database;
    return files;
}

}  // namespace

struct Node::Open {
    store::sqlite::Database db;
    store::KnownStates states{db};
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
      machine_(empty_store(planted)),
      own_models_(make_models(planted, clock_)) {
    for (const auto& model : own_models_) models_.push_back(model.get());
}

Node::~Node() {
    disk().disarm();
    stop();
}

Result<void> Node::start() {
    TRY(auto opened, machine_.open(random_));
    auto open = std::make_unique<Open>(std::move(opened), random_, models_);
    TRY(open->log.prepare());
    open->log.act_as(me.own_device());
    TRY(open->water, machine_.watch(open->db, random_));
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

void Node::kill() {
    stop();
    machine_.kill();
}

void Node::cut_power(Dice& dice) {
    stop();
    machine_.cut_power(dice);
}

void Node::put_back(const FolderCopy& from, bool with_record) {
    stop();
    machine_.put_back(from, with_record);
    was_put_back = true;
    welcomed.clear();
}

store::EventLog& Node::log() {
    return open_->log;
}

store::sqlite::Database& Node::db() {
    return open_->db;
}

store::KnownStates& Node::states() {
    return open_->states;
}

}  // namespace ladderline::simulation
