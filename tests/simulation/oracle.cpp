#include "tests/simulation/oracle.hpp"

#include <algorithm>
#include <map>

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

// Honest nodes that know themselves to be in the circle.
std::vector<Node*> participants(World& world, const CircleId& circle) {
    std::vector<Node*> out;
    for (const auto& station : world.stations) {
        Node* node = station->member();
        if (node == nullptr || node->is_byzantine || !node->is_up()) continue;
        const auto state = store::CircleModel::state_of(node->db(), circle);
        if (state && state.value().present_member(node->me.device_id())) out.push_back(node);
    }
    return out;
}

bool is_willing(World& world, Station& at, const Station& with, const CircleId& circle) {
    const auto shared = shared_circles(world, at, with);
    return std::find(shared.begin(), shared.end(), circle) != shared.end();
}

// Both would talk with the other about the circle. Somebody who was removed and does not know it is left out so.
bool are_connected(World& world, Station& a, Station& b, const CircleId& circle) {
    return a.is_up() && b.is_up() && is_willing(world, a, b, circle) && is_willing(world, b, a, circle);
}

// Let in again, as that node knows, by somebody whom the other knows too, and yet they do not talk.
bool is_shut_out(World& world, Node& node, Node& other, const CircleId& circle) {
    const auto by = other.welcomed.find(circle);
    if (by == other.welcomed.end() || by->second != node.me.noise.pub) return false;
    const auto state = store::CircleModel::state_of(node.db(), circle);
    const auto theirs = store::CircleModel::state_of(other.db(), circle);
    if (!state || !theirs || !other.log().current_key(circle)) return false;
    return state.value().present_member(node.me.device_id()) && state.value().present_member(other.me.device_id()) &&
           theirs.value().present_member(node.me.device_id()) && !are_connected(world, node, other, circle);
}

std::string differ(World& world, Station& a, Station& b, const CircleId& circle) {
    Node* one = a.member();
    Node* two = b.member();
    if (one != nullptr && two != nullptr &&
        (is_shut_out(world, *one, *two, circle) || is_shut_out(world, *two, *one, circle))) {
        return b.name() + " was let in and does not hear from " + a.name();
    }
    if (!are_connected(world, a, b, circle) || root_at(a, circle) == root_at(b, circle)) return {};
    return b.name() + " does not hold what " + a.name() + " holds";
}

// Empty, or who differs from whom.
std::string difference(World& world) {
    for (const Circle& circle : world.circles) {
        for (std::size_t i = 0; i < world.stations.size(); ++i) {
            for (std::size_t j = i + 1; j < world.stations.size(); ++j) {
                Station& a = *world.stations[i];
                Station& b = *world.stations[j];
                if (lies(a) || lies(b) || (a.member() == nullptr && b.member() == nullptr)) continue;
                const std::string found = differ(world, a, b, circle.id);
                if (!found.empty()) return found;
            }
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

// What each node waits for a key to.
std::vector<std::vector<KeyId>> all_missing(World& world) {
    std::vector<std::vector<KeyId>> out;
    for (const Circle& circle : world.circles) {
        for (const auto& station : world.stations) {
            Node* node = station->member();
            if (node != nullptr && node->is_up()) out.push_back(missing(*node, circle.id));
        }
    }
    return out;
}

// What each honest station holds; another one says now this and now that.
std::vector<Root> all_roots(World& world) {
    std::vector<Root> out;
    for (const Circle& circle : world.circles) {
        for (const auto& station : world.stations) {
            if (station->is_up() && !lies(*station)) out.push_back(root_at(*station, circle.id));
        }
    }
    return out;
}

bool is_any_missing(const std::vector<std::vector<KeyId>>& missing) {
    return std::any_of(missing.begin(), missing.end(), [](const auto& keys) { return !keys.empty(); });
}

bool knows(Node& node, const Node& other, const CircleId& circle) {
    const auto state = store::CircleModel::state_of(node.db(), circle);
    return state && state.value().present_member(other.me.device_id());
}

// Nodes that hold the same and know each other to be in the circle wait for the same keys. Not so who was removed and
// could not read of it: they hold sealed events and get no key to them, and keys that they bring come to nobody.
void check_same_keys(World& world, const Circle& circle, const std::vector<Node*>& nodes) {
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            Node& a = *nodes[j];
            Node& b = *nodes[i];
            if (missing(a, circle.id) == missing(b, circle.id)) continue;
            if (!knows(a, b, circle.id) || !knows(b, a, circle.id)) continue;
            return world.fail(b.name() + " lacks other keys than " + a.name() + " does.");
        }
    }
}

// The same events with the same keys make the same tables, at whoever's they lie.
void check_same_digest(World& world, const Circle& circle, const std::vector<Node*>& nodes) {
    std::map<std::vector<KeyId>, std::pair<Node*, store::StateDigest>> groups;
    for (Node* node : nodes) {
        const auto digest = store::state_digest(node->db(), node->log(), circle.id);
        if (!digest) return world.fail("No digest at " + node->name() + ": " + digest.error().sentence());
        world.trace.add(digest.value().view());
        const auto [first, is_first] = groups.emplace(missing(*node, circle.id), std::pair(node, digest.value()));
        if (!is_first && first->second.second != digest.value()) {
            return world.fail(node->name() + " and " + first->second.first->name() +
                              " hold the same events and make different tables of them.");
        }
    }
}

// What a node remembers of a circle is what its events make of it now.
void check_remembered(World& world, const Circle& circle, const std::vector<Node*>& nodes) {
    for (Node* node : nodes) {
        const auto folded = store::CircleModel::state_of(node->db(), circle.id);
        const auto remembered = node->states().of(circle.id);
        if (folded && remembered && *remembered.value() == folded.value()) continue;
        return world.fail(node->name() + " remembers another circle than its events make.");
    }
}

void check_digests(World& world, const Circle& circle, const std::vector<Node*>& nodes) {
    std::map<Root, std::vector<Node*>> by_root;
    for (Node* node : nodes) by_root[root_at(*node, circle.id)].push_back(node);
    for (const auto& [root, same] : by_root) {
        const bool is_closed = world.plan.shape.is_minor;  // keys are given by the calendar there
        if (!is_closed) check_same_keys(world, circle, same);
        check_same_digest(world, circle, same);
    }
}

// The events that lie at nodes, each node read once.
class Holdings {
public:
    bool holds(Node& node, const EventId& id) {
        const auto [at, is_new] = ids_.try_emplace(&node);
        std::vector<EventId>& ids = at->second;
        if (is_new) {
            const auto read = node.db().query(
                "SELECT id FROM event", [&](const store::sqlite::Row& row) { ids.push_back(row.fixed<EventId>(0)); });
            if (!read) ids.clear();
            std::sort(ids.begin(), ids.end());
        }
        return std::binary_search(ids.begin(), ids.end(), id);
    }

private:
    std::map<const Node*, std::vector<EventId>> ids_;
};

// A node keeps what it confirmed, and so does everybody it talks with.
void check_acknowledged(World& world, const Circle& circle, const std::vector<Node*>& nodes) {
    Holdings holdings;
    for (const auto& station : world.stations) {
        Node* author = station->member();
        if (author == nullptr || author->is_byzantine) continue;
        std::vector<EventId> confirmed;
        for (const Acknowledged& said : author->acknowledged) {
            if (said.circle == circle.id && !world.excused.contains(said.id)) confirmed.push_back(said.id);
        }
        for (const EventId& id : confirmed) {
            if (!author->was_put_back && !holdings.holds(*author, id)) {
                return world.fail("An event that was confirmed to " + author->name() + " is gone there.");
            }
        }
        for (Node* node : nodes) {
            if (confirmed.empty() || !are_connected(world, *author, *node, circle.id)) continue;
            for (const EventId& id : confirmed) {
                if (holdings.holds(*node, id) || is_forked_away(*node, *author, id)) continue;
                return world.fail("An event that was confirmed to " + author->name() + " never came to " +
                                  node->name() + ".");
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
        // A grant ends its conversation, and the circle is talked about in the next.
        const auto news = [&] { return world.counts.events + world.counts.grants; };
        const std::size_t before = news();
        const auto missing_before = all_missing(world);
        // Whoever was asked for a key before the circle's events had come did not know yet whom they may give it to.
        const bool waits = is_any_missing(missing_before);
        const auto roots_before = waits ? all_roots(world) : std::vector<Root>();
        meet_all(world, dice);
        world.now.ms += 300'000;
        if (news() != before) last_change = round;
        const std::string differs = difference(world);
        // Events that came by a courier may need a key that their readers ask for when they next meet.
        const bool is_still =
            news() == before && all_missing(world) == missing_before && (!waits || all_roots(world) == roots_before);
        if (differs.empty() && is_still) return;
        if (round >= last_change + rounds_to_equal && !differs.empty()) {
            return world.fail("After " + std::to_string(rounds_to_equal) + " rounds without a fault " + differs + ".");
        }
    }
    if (!world.failed()) world.fail("The network does not come to rest.");
}

void judge(World& world) {
    for (const Circle& circle : world.circles) {
        const auto nodes = participants(world, circle.id);
        if (nodes.empty()) continue;
        check_remembered(world, circle, nodes);
        check_digests(world, circle, nodes);
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
    Holdings holdings;
    for (const auto& station : world.stations) {
        Node* author = station->member();
        if (author == nullptr || (author != &node && !author->was_put_back)) continue;
        for (const Acknowledged& said : author->acknowledged) {
            const bool elsewhere = std::any_of(world.stations.begin(), world.stations.end(), [&](const auto& other) {
                Node* keeper = other->member();
                return keeper != nullptr && keeper != &node && keeper->is_up() && holdings.holds(*keeper, said.id);
            });
            if (!elsewhere) world.excused.insert(said.id);
        }
    }
}

}  // namespace ladderline::simulation
