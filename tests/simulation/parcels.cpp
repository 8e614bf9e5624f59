// News on sticks and in letters: out of order, twice, cut, changed.

#include "store/carry/bundle_in.hpp"
#include "store/circles/peers.hpp"
#include "tests/simulation/oracle.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

constexpr std::size_t parcels_max = 40;

}  // namespace

void write_parcels(World& world, std::size_t from, Dice& dice) {
    Node* node = world.node_at(from);
    if (node == nullptr || !node->is_up()) return;
    const Circle* circle = world.circle_of(*node, dice);
    if (circle == nullptr) return;
    store::BundleOrder order{circle->id, {}, std::nullopt, dice.chance(30), std::nullopt};
    const store::CarryStore carried{node->db(), node->log(), node->me};
    const auto made =
        store::write_bundle(carried, order, node->clock(world.now), node->random(), [&](Bytes part) -> Result<void> {
            world.trace.add(part);
            world.parcels.push_back({std::move(part), from});
            return ok();
        });
    if (!made && made.error().fault() == Fault::disk) return world.disk_failed(*node);
    if (!made) return world.fail(node->name() + " could not write a bundle: " + made.error().sentence());
    world.tell(node->name() + " wrote a bundle of " + std::to_string(made.value().parts) + " parts.");
    while (world.parcels.size() > parcels_max) world.parcels.pop_front();
}

void hand_over_parcel(World& world, std::size_t to, Dice& dice) {
    Node* node = world.node_at(to);
    if (node == nullptr || !node->is_up() || world.parcels.empty()) return;
    const Parcel& parcel = world.parcels[dice.below(world.parcels.size())];
    Bytes part = parcel.part;
    const bool spoiled = dice.chance(15);
    if (spoiled && dice.chance(50)) part.resize(dice.below(part.size()));
    if (spoiled && !part.empty()) dice.pick(part) ^= static_cast<std::uint8_t>(1 + dice.below(255));
    const auto taken = store::take_in({node->db(), node->log(), node->me}, part);
    if (!taken) {
        const Fault why = taken.error().fault();
        if (why == Fault::disk) return world.disk_failed(*node);
        if (why == Fault::damaged && !spoiled)
            world.fail("A whole bundle was found damaged: " + taken.error().sentence());
        return;
    }
    if (!spoiled && taken.value().spoiled && taken.value().spoiled->fault() != Fault::disk) {
        world.fail("A whole bundle was found spoiled: " + taken.value().spoiled->sentence());
    }
    world.trace.add(taken.value().events);
    world.tell(node->name() + " took in a bundle of " + world.stations[parcel.from]->name() + ".");
    if (taken.value().events > 0 || taken.value().new_forks > 0) world.news(*node, taken.value().head.circle);
}

}  // namespace ladderline::simulation
