#include "tests/simulation/oracle.hpp"

#include <algorithm>

#include "store/digest/state_digest.hpp"
#include "tests/simulation/courier.hpp"
#include "tests/simulation/reference_model.hpp"
#include "tests/simulation/set_checks.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

constexpr std::size_t rounds_max = 14;
constexpr std::size_t rounds_to_equal = 3;  // sync intervals

bool lies(const Station& station) {
    const auto* courier = dynamic_cast<const Courier*>(&station);
    return courier != nullptr && courier->lies();
}

Root root_at(Station& station, const CircleId& circle) {
    const auto heads = station.view().heads(circle);
    return heads ? root_of(circle, heads.value()) : Root{};
}

std::size_t events_at(Node& node, const CircleId& circle) {
    std::size_t out = 0;
    const auto heads = node.log().heads(circle);
    if (!heads) return 0;
    for (const LogHead& head : heads.value()) out += head.next_seq;
    return out;
}

bool has_seat(const CircleState& state, Node& node) {
    return state.present_member(node.me.device_id()).has_value();
}

// Honest nodes that must hold the same: those that the best informed of them knows to be in the circle.
std::vector<Node*> participants(World& world, const CircleId& circle) {
    std::vector<std::pair<Node*, CircleState>> known;
    for (const auto& station : world.stations) {
        Node* node = station->member();
        if (node == nullptr || node->is_byzantine || !node->is_up()) continue;
        auto state = store::CircleModel::state_of(node->db(), circle);
        if (state && has_seat(state.value(), *node)) known.emplace_back(node, std::move(state).value());
    }
    const CircleState* best = nullptr;
    std::size_t most = 0;
    for (const auto& [node, state] : known) {
        const std::size_t events = events_at(*node, circle);
        if (best != nullptr && events <= most) continue;
        best = &state;
        most = events;
    }
    std::vector<Node*> out;
    if (best == nullptr) return out;
    for (const auto& station : world.stations) {
        Node* node = station->member();
        if (node != nullptr && !node->is_byzantine && node->is_up() && has_seat(*best, *node)) out.push_back(node);
    }
    return out;
}

// Empty, or who differs from whom.
std::string difference(World& world) {
    for (const Circle& circle : world.circles) {
        const auto nodes = participants(world, circle.id);
        for (Node* node : nodes) {
            if (root_at(*node, circle.id) == root_at(*nodes.front(), circle.id)) continue;
            return node->name() + " (" + std::to_string(events_at(*node, circle.id)) + " events) does not hold what " +
                   nodes.front()->name() + " holds (" + std::to_string(events_at(*nodes.front(), circle.id)) + ")";
        }
    }
    return {};
}

void meet_all(World& world, Dice& dice) {
    for (std::size_t i = 0; i < world.stations.size(); ++i) {
        for (std::size_t j = i + 1; j < world.stations.size() && !world.failed(); ++j) {
            if (lies(*world.stations[i]) || lies(*world.stations[j])) continue;
            const bool turned = dice.chance(50);
            if (Link* made = world.call(turned ? j : i, turned ? i : j, dice)) made->finish(dice);
            world.links.clear();
            world.clear_up();
        }
    }
}

std::vector<KeyId> missing(Node& node, const CircleId& circle) {
    auto keys = node.log().missing_keys(circle);
    return keys ? std::move(keys).value() : std::vector<KeyId>();
}

void check_digests(World& world, const Circle& circle, const std::vector<Node*>& nodes) {
    const bool is_closed = world.plan.shape.is_minor;  // keys are given by the calendar there
    std::map<std::vector<KeyId>, std::pair<Node*, store::StateDigest>> by_keys;
    for (Node* node : nodes) {
        const auto lacks = missing(*node, circle.id);
        if (!is_closed && lacks != missing(*nodes.front(), circle.id)) {
            return world.fail(node->name() + " lacks other keys than " + nodes.front()->name() + ".");
        }
        const auto digest = store::state_digest(node->db(), node->log(), circle.id);
        if (!digest) return world.fail("No digest at " + node->name() + ": " + digest.error().sentence());
        world.trace.add(digest.value().view());
        const auto [first, is_first] = by_keys.emplace(lacks, std::pair(node, digest.value()));
        if (!is_first && first->second.second != digest.value()) {
            return world.fail(node->name() + " and " + first->second.first->name() +
                              " hold the same events and make different tables of them.");
        }
    }
}

void check_couriers(World& world, const Circle& circle, Node& member) {
    for (const auto& station : world.stations) {
        if (station->member() != nullptr || lies(*station)) continue;
        if (root_at(*station, circle.id) != root_at(member, circle.id)) {
            world.fail(station->name() + " does not hold what " + member.name() + " holds.");
        }
    }
}

bool holds(Node& node, const EventId& id) {
    bool found = false;
    const auto read = node.db().query(
        "SELECT 1 FROM event WHERE id = ?1", [&](const store::sqlite::Row&) { found = true; }, id);
    return read && found;
}

// A node keeps what it confirmed, and so does everybody who should hold the same.
void check_acknowledged(World& world, const Circle& circle, const std::vector<Node*>& nodes) {
    for (const auto& station : world.stations) {
        Node* author = station->member();
        if (author == nullptr || author->is_byzantine) continue;
        const bool takes_part = std::find(nodes.begin(), nodes.end(), author) != nodes.end();
        for (const Acknowledged& said : author->acknowledged) {
            if (said.circle != circle.id || world.excused.contains(said.id)) continue;
            if (!author->was_put_back && !holds(*author, said.id)) {
                return world.fail("An event that was confirmed to " + author->name() + " is gone there.");
            }
            if (takes_part && !holds(*nodes.front(), said.id) && !is_forked_away(*nodes.front(), *author, said.id)) {
                return world.fail("An event that was confirmed to " + author->name() + " never came to " +
                                  nodes.front()->name() + ".");
            }
        }
    }
}

}  // namespace

void quiesce(World& world) {
    world.heal();
    world.tell("All faults ended; everybody talks with everybody.");
    Dice dice(mixed(world.plan.seed, 3));
    std::size_t last_change = 0;
    for (std::size_t round = 1; round <= rounds_max && !world.failed(); ++round) {
        const std::size_t before = world.counts.events;
        meet_all(world, dice);
        world.now.ms += 300'000;
        if (world.counts.events != before) last_change = round;
        const std::string differs = difference(world);
        if (differs.empty() && world.counts.events == before) return;
        if (round >= last_change + rounds_to_equal && !differs.empty()) {
            return world.fail("After " + std::to_string(rounds_to_equal) + " rounds without a fault " + differs + ".");
        }
    }
    if (!world.failed()) world.fail("The network does not come to rest: new keys follow new keys.");
}

void judge(World& world) {
    for (const Circle& circle : world.circles) {
        const auto nodes = participants(world, circle.id);
        if (nodes.empty()) continue;
        check_digests(world, circle, nodes);
        check_couriers(world, circle, *nodes.front());
        check_acknowledged(world, circle, nodes);
        if (world.failed()) return;
        Dice dice(mixed(world.plan.seed, 4));
        check_set(world, circle, *nodes[dice.below(nodes.size())], dice);
        const std::string wrong = compare_with_plain_model(*nodes[dice.below(nodes.size())], circle.id);
        if (!wrong.empty()) world.fail(wrong);
        const auto forked = store::forked_logs(nodes.front()->db(), circle.id);
        if (forked) world.counts.forks += forked.value().size();
    }
}

void excuse(World& world, Node& node) {
    for (const auto& station : world.stations) {
        Node* author = station->member();
        if (author == nullptr || (author != &node && !author->was_put_back)) continue;
        for (const Acknowledged& said : author->acknowledged) {
            const bool elsewhere = std::any_of(world.stations.begin(), world.stations.end(), [&](const auto& other) {
                Node* keeper = other->member();
                return keeper != nullptr && keeper != &node && keeper->is_up() && holds(*keeper, said.id);
            });
            if (!elsewhere) world.excused.insert(said.id);
        }
    }
}

}  // namespace ladderline::simulation
