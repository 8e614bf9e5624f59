#include "tests/simulation/kept_courier.hpp"

namespace ladderline::simulation {

using namespace protocol;

struct KeptCourier::Open {
    store::sqlite::Database db;
    store::EventLog log;
    store::QuotaView view;
    std::unique_ptr<store::WaterKeeper> water;

    Open(store::sqlite::Database opened, Random& random) : db(std::move(opened)), log(db, random, {}), view(db, log) {}
};

KeptCourier::KeptCourier(std::string name, std::uint64_t seed)
    : Station(std::move(name)), random_(seed), machine_(Machine::empty_store()) {}

KeptCourier::~KeptCourier() {
    stop();
}

LogView& KeptCourier::view() {
    return open_->view;
}

Result<void> KeptCourier::start() {
    TRY(auto opened, machine_.open(random_));
    auto open = std::make_unique<Open>(std::move(opened), random_);
    TRY(open->log.prepare());
    TRY(open->water, machine_.watch(open->db, random_));
    TRY(store::count_places(open->db));
    open_ = std::move(open);
    return ok();
}

void KeptCourier::stop() {
    open_.reset();
}

void KeptCourier::kill() {
    stop();
    machine_.kill();
}

void KeptCourier::cut_power(Dice& dice) {
    stop();
    machine_.cut_power(dice);
}

void KeptCourier::put_back(const FolderCopy& from, bool with_record) {
    stop();
    machine_.put_back(from, with_record);
}

Result<void> KeptCourier::give_place(const CircleId& circle, WallTime now) {
    constexpr std::uint64_t quota_bytes = std::uint64_t{32} * 1024 * 1024;
    const store::CourierCode code{random_.draw<InviteId>(), Bytes(32, 1), quota_bytes, 36'500, {now.ms + 1}};
    TRY(store::add_courier_code(open_->db, code));
    const PlaceMessage wanted{circle, random_.draw<SignPublic>(), random_.draw<SignPublic>()};
    TRY(const PlacedMessage said, store::take_place(open_->db, {}, code.id, wanted, now));
    ENSURE(said.place.has_value());
    return ok();
}

}  // namespace ladderline::simulation
