#include "tests/simulation/world.hpp"

#include <algorithm>
#include <array>

#include "protocol/event/kinds.hpp"
#include "store/circles/peers.hpp"
#include "tests/simulation/acts.hpp"
#include "tests/simulation/byzantine.hpp"
#include "tests/simulation/courier.hpp"
#include "tests/simulation/kept_courier.hpp"
#include "tests/simulation/oracle.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

constexpr std::array<const char*, 12> first_names{"Ada", "Ben", "Cal", "Dot", "Eli", "Fay",
                                                  "Gus", "Hal", "Ivy", "Jon", "Kit", "Lou"};
constexpr std::size_t links_max = 6;

std::string name_of(std::size_t number) {
    return std::string(first_names[number % first_names.size()]) + (number < 12 ? "" : std::to_string(number));
}

}  // namespace

World::World(const Plan& what, Planted planted, Story* story)
    : plan(what), planted_(planted), story_(story), dice_(mixed(what.seed, 2)) {
    build();
}

World::~World() {
    links.clear();
}

void World::build() {
    const Shape& shape = plan.shape;
    for (std::size_t i = 0; i < shape.members(); ++i) people.push_back(test::make_person(name_of(i), dice_));
    for (std::size_t i = 0; i < shape.nodes; ++i) {
        const std::size_t owner = shape.owner_of(i);
        const bool is_spare = i >= shape.members();
        const std::string name = is_spare ? people[owner].name + "'s device " + std::to_string(i) : people[owner].name;
        test::Person device = test::second_device(people[owner], dice_);
        if (!is_spare) {
            device = {people[owner].name,
                      {people[owner].identity.pub, people[owner].identity.secret.clone()},
                      {people[owner].device.pub, people[owner].device.secret.clone()},
                      {people[owner].noise.pub, people[owner].noise.secret.clone()},
                      {people[owner].box.pub, people[owner].box.secret.clone()}};
        }
        auto made = std::make_unique<Node>(name, owner, device, mixed(plan.seed, 100 + i), planted_);
        made->is_byzantine = owner + shape.byzantine >= shape.members() && owner > 0;
        if (!made->start()) fail(name + "'s store does not open.");
        stations.push_back(std::move(made));
    }
    add_couriers();
    found_circles();
}

void World::add_couriers() {
    const Shape& shape = plan.shape;
    for (std::size_t i = 0; i < shape.couriers; ++i) {
        const bool lies = shape.courier_lies && i == 0;
        const std::string name = "Courier " + std::to_string(i + 1);
        const std::uint64_t seed = mixed(plan.seed, 200 + i);
        if (shape.couriers_keep && !lies) {
            auto made = std::make_unique<KeptCourier>(name, seed);
            restart(*made);
            stations.push_back(std::move(made));
        } else {
            stations.push_back(std::make_unique<Courier>(name, seed, lies));
        }
    }
}

void World::found_circles() {
    const Shape& shape = plan.shape;
    for (std::size_t i = 0; i < (shape.two_circles ? 2 : 1); ++i) {
        const CircleKind kind = i == 0 ? shape.kind : CircleKind::club;
        const std::size_t who = i == 0 ? 0 : std::min<std::size_t>(1, shape.nodes - 1);
        Node& founder = node(who);
        const MemberRole role = kind == CircleKind::club ? MemberRole::officer : MemberRole::newcomer;
        const FoundBody body{kind,
                             "circle " + std::to_string(i),
                             role,
                             4,
                             founder.person.name,
                             shape.is_minor && i == 0,
                             founder.me.certificate};
        auto tx = store::sqlite::Transaction::begin(founder.db());
        ENSURE(tx.has_value());
        const auto made = founder.log().found_within(codec::encode(body), founder.clock(now));
        ENSURE(made.has_value() && tx.value().commit().has_value());
        circles.push_back({made.value(), kind});
        for (const auto& station : stations) {
            KeptCourier* keeper = station->keeper();
            ENSURE(keeper == nullptr || keeper->give_place(made.value(), now).has_value());
        }
        founder.acknowledged.push_back({made.value(), EventId{made.value().data}});
    }
}

std::size_t World::number_of(const Station& station) const {
    for (std::size_t i = 0; i < stations.size(); ++i) {
        if (stations[i].get() == &station) return i;
    }
    return stations.size();
}

void World::fail(std::string sentence) {
    tell("WRONG: " + sentence);
    if (wrong_.empty()) wrong_ = std::move(sentence);
}

void World::tell(std::string sentence) {
    if (story_ != nullptr) story_->add(step, std::move(sentence));
}

const Circle* World::circle_of(Node& at, Dice& dice) {
    const std::size_t first = dice.below(circles.size());
    for (std::size_t i = 0; i < circles.size(); ++i) {
        const Circle& circle = circles[(first + i) % circles.size()];
        if (at.log().current_key(circle.id)) return &circle;
    }
    return nullptr;
}

void World::news(Station& at, const CircleId& circle, const Link* except) {
    for (std::size_t i = 0; i < links.size(); ++i) {
        if (links[i].get() != except && links[i]->joins(at)) links[i]->on_news(at, circle);
    }
}

void World::settled(Node& at, const CircleId& circle) {
    rotate_if_due(*this, at, circle, false);
}

bool World::took_grant(Node& at, const GrantMessage& grant, const DhPublic& peer) {
    const bool holds_key = at.log().current_key(grant.circle).has_value();
    const auto removed = store::is_removed(at.db(), grant.circle, at.me.id());
    if (holds_key && (!removed || !removed.value())) return false;
    auto kept = store::remember_welcome(at.db(), grant.circle, {}, peer);
    if (kept && !holds_key) kept = at.log().add_key(grant.circle, AeadKey::copy_of(grant.key));
    if (!kept) {
        disk_failed(at);
        return false;
    }
    at.welcomed[grant.circle] = peer;
    counts.grants += 1;
    tell(at.name() + " was granted a key.");
    return true;
}

void World::disk_failed(Node& at) {
    tell("The disk of " + at.name() + " failed.");
    broken_.insert(number_of(at));
}

Link* World::call(std::size_t caller, std::size_t called, Dice& dice) {
    Station& from = *stations[caller];
    Station& to = *stations[called];
    const bool couriers = from.member() == nullptr && to.member() == nullptr;
    if (caller == called || !from.is_up() || !to.is_up() || apart(caller, called) || couriers) return nullptr;
    links.push_back(std::make_unique<Link>(*this, from, to, plan.shape.real_connections, dice));
    return links.back()->is_over() ? nullptr : links.back().get();
}

void World::hang_up(std::size_t station) {
    std::erase_if(links, [&](const auto& link) { return link->joins(*stations[station]); });
}

// After a step nobody holds on to a conversation: those that are over go, and nodes whose disk failed begin again.
void World::sweep() {
    while (!broken_.empty()) {
        const std::size_t number = broken_.extract(broken_.begin()).value();
        hang_up(number);
        Node& at = node(number);
        at.disk().disarm();
        at.kill();
        restart(at);
    }
    std::erase_if(links, [](const auto& link) { return link->is_over(); });
    while (links.size() > links_max) links.erase(links.begin());
}

// A disk that was about to fail may do so while the store is opened: the node begins again on one that works.
void World::restart(Node& at) {
    auto started = at.start();
    if (!started && started.error().fault() == Fault::disk) {
        at.kill();
        started = at.start();
    }
    if (!started) fail("The store of " + at.name() + " does not open again: " + started.error().sentence());
}

void World::restart(KeptCourier& keeper) {
    const auto started = keeper.start();
    if (!started) fail("The store of " + keeper.name() + " does not open: " + started.error().sentence());
}

void World::take(const Step& what) {
    Dice dice(what.dice);
    now.ms += static_cast<std::int64_t>(dice.below(600'000));
    if (what.who >= stations.size() || what.other >= stations.size()) return;
    if (what.what == What::evil) {
        do_evil(*this, what);
    } else if (what.what < What::call) {
        act(*this, what);
    } else if (what.what < What::stop) {
        take_network(what, dice);
    } else {
        take_machine(what, dice);
    }
}

void World::take_network(const Step& what, Dice& dice) {
    switch (what.what) {
        case What::call:
            if (Link* made = call(what.who, what.other, dice)) {
                tell(stations[what.who]->name() + " called " + stations[what.other]->name() + ".");
                for (std::size_t i = dice.below(12); i > 0; --i) made->move(dice);
            }
            return;
        case What::carry_on: {
            if (links.empty()) return;
            Link& link = *links[dice.below(links.size())];
            if (dice.chance(40)) return link.finish(dice);
            for (std::size_t i = dice.below(30); i > 0; --i) link.move(dice);
            return;
        }
        case What::cut:
            if (!links.empty()) links[dice.below(links.size())]->cut();
            return;
        case What::part:
            sides_.insert(what.who);
            std::erase_if(links, [&](const auto& link) { return link->joins(*stations[what.who]); });
            return tell(stations[what.who]->name() + " was cut off.");
        case What::join:
            sides_.clear();
            return tell("Everybody can be reached again.");
        case What::bundle:
            return write_parcels(*this, what.who, dice);
        default:
            return hand_over_parcel(*this, what.other, dice);
    }
}

void World::take_machine(const Step& what, Dice& dice) {
    Node* at = node_at(what.who);
    if (what.what == What::wait) {
        now.ms += static_cast<std::int64_t>(dice.below(20)) * 86'400'000;
        return;
    }
    if (KeptCourier* keeper = stations.at(what.who)->keeper()) return take_keeper(what, *keeper, dice);
    if (at == nullptr) return;
    if (what.what == What::clock) {
        constexpr std::int64_t ten_years_ms = 10LL * 365 * 86'400'000;
        at->skew_ms = dice.chance(40) ? 0 : static_cast<std::int64_t>(dice.below(2 * ten_years_ms)) - ten_years_ms;
        return tell("The clock of " + at->name() + " was set " + std::to_string(at->skew_ms / 86'400'000) +
                    " days off.");
    }
    hang_up(what.who);
    const bool was_up = at->is_up();
    switch (what.what) {
        case What::stop:
            at->stop();
            tell(at->name() + (was_up ? " stopped." : " began again."));
            if (!was_up) restart(*at);
            return;
        case What::kill:
            at->kill();
            tell(at->name() + " was killed and began again.");
            break;
        case What::power_cut:
            at->cut_power(dice);
            tell(at->name() + " lost its power and began again.");
            break;
        case What::disk_fault: {
            constexpr std::array faults{test::DiskFault::io_error, test::DiskFault::sync_error, test::DiskFault::full};
            at->disk().arm(faults[dice.below(3)], static_cast<std::int64_t>(1 + dice.below(60)), dice.chance(50));
            return tell("The disk of " + at->name() + " is about to fail.");
        }
        case What::back_up:
            at->backups.push_back(at->copy());
            return tell("A copy of " + at->name() + "'s folder was made.");
        case What::put_back: {
            if (at->backups.empty()) return;
            excuse(*this, *at);
            at->put_back(dice.pick(at->backups), dice.chance(40));
            tell(at->name() + " was put back to an old copy.");
            break;
        }
        default:
            return clone(what.who, dice);
    }
    restart(*at);
}

// A courier has no clock that matters and is nobody's device: those steps are copies of its folder, and copies that
// come back.
void World::take_keeper(const Step& what, KeptCourier& keeper, Dice& dice) {
    switch (what.what) {
        case What::stop:
            if (!keeper.is_up()) break;
            hang_up(what.who);
            keeper.stop();
            return tell(keeper.name() + " stopped.");
        case What::kill:
            hang_up(what.who);
            keeper.kill();
            break;
        case What::power_cut:
            hang_up(what.who);
            keeper.cut_power(dice);
            break;
        case What::back_up:
        case What::clock:
            return keeper.backups.push_back(keeper.copy());
        case What::put_back:
        case What::disk_fault:
        case What::clone:
            if (keeper.backups.empty()) return;
            hang_up(what.who);
            keeper.put_back(dice.pick(keeper.backups), dice.chance(40));
            tell(keeper.name() + " was put back to an old copy.");
            break;
        default:
            return;
    }
    restart(keeper);
    tell(keeper.name() + " began again.");
}

// A folder copied to another machine: two nodes with one device's key.
void World::clone(std::size_t who, Dice& dice) {
    Node& at = node(who);
    if (stations.size() >= plan.shape.nodes + plan.shape.couriers + 2 || !at.is_up()) return;
    auto made = std::make_unique<Node>(at.name() + "'s copy", at.owner, at.person, dice.next(), planted_);
    made->put_back(at.copy(), dice.chance(70));
    made->is_byzantine = at.is_byzantine;
    at.was_put_back = true;
    restart(*made);
    tell("The folder of " + at.name() + " was copied to another machine.");
    stations.push_back(std::move(made));
}

Outcome World::run() {
    for (const Step& what : plan.steps) {
        if (failed()) break;
        ++step;
        counts.steps += 1;
        trace.add(static_cast<std::uint64_t>(what.what));
        take(what);
        sweep();
    }
    if (!failed()) quiesce(*this);
    if (!failed()) judge(*this);
    links.clear();
    trace.add(counts.events);
    trace.add(counts.messages);
    return {wrong_, trace.value(), counts};
}

// The last fault is over: all machines run, all wires hold, no conversation is under way.
void World::heal() {
    sides_.clear();
    links.clear();
    for (const auto& station : stations) {
        KeptCourier* keeper = station->keeper();
        if (keeper != nullptr && !keeper->is_up()) restart(*keeper);
        Node* at = station->member();
        if (at == nullptr) continue;
        at->disk().disarm();
        if (!at->is_up()) restart(*at);
    }
}

void World::clear_up() {
    sweep();
}

}  // namespace ladderline::simulation
