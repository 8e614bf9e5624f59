#include "tests/simulation/set_checks.hpp"

#include <algorithm>

#include "store/circles/held_keys.hpp"
#include "store/digest/state_digest.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

// All runs of the circle, cut at random places, and the proofs.
Result<std::vector<Run>> pieces_of(Node& node, const CircleId& circle, Dice& dice) {
    std::vector<Run> out;
    TRY(const auto heads, node.log().heads(circle));
    for (const LogHead& head : heads) {
        for (std::uint64_t seq = 0; seq < head.next_seq;) {
            TRY(Run run, node.log().read_run(circle, head.log, seq));
            const std::size_t some = 1 + dice.below(run.events.size());
            // A run has to end on a valid signature; only whole ones are sure to.
            if (dice.chance(50)) {
                Run front = run;
                front.events.resize(some);
                out.push_back(std::move(front));
            }
            seq += run.events.size();
            out.push_back(std::move(run));
        }
    }
    return out;
}

Result<void> take_all(Node& from, Node& to, const CircleId& circle, Dice& dice) {
    TRY(auto pieces, pieces_of(from, circle, dice));
    TRY(const auto keys, store::held_keys(from.db(), circle, limits::epoch_keys_max));
    std::vector<std::size_t> order(pieces.size() + keys.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[dice.below(i)]);
    // What begins past what is there comes again, as in a sync.
    for (int again = 0; again < 200 && !order.empty(); ++again) {
        std::vector<std::size_t> left;
        for (const std::size_t at : order) {
            if (at >= pieces.size()) {
                TRY(to.log().add_key(circle, keys[at - pieces.size()]));
                continue;
            }
            const auto outcome = to.log().append_run(circle, pieces[at]);
            if (!outcome && outcome.error().fault() != Fault::peer) return outcome.error();
            if (outcome && outcome.value() == Appended::gap) left.push_back(at);
        }
        order = std::move(left);
    }
    TRY(const auto heads, from.log().heads(circle));
    for (const LogHead& head : heads) {
        TRY(const auto proof, from.log().fork_proof(circle, head.log));
        if (!proof) continue;
        TRY(to.log().append_fork_proof(circle, *proof));
    }
    return ok();
}

void check_rebuild(World& world, const Circle& circle, Node& node, const store::StateDigest& digest) {
    auto made_anew = node.db().execute("UPDATE read_model SET version = -1");
    if (made_anew) made_anew = node.log().prepare();
    if (!made_anew) return world.fail("The tables could not be made anew: " + made_anew.error().sentence());
    const auto after = store::state_digest(node.db(), node.log(), circle.id);
    if (!after || after.value() != digest) {
        world.fail("The tables of " + node.name() + " made anew from the beginning differ from those kept.");
    }
}

std::vector<ControlEvent> control_events(Node& node, const CircleId& circle) {
    std::vector<ControlEvent> out;
    const auto read = node.db().query(
        "SELECT id, device, log, seq, ctl, kind, payload, genuine FROM control_event AS e WHERE circle = ?1 "
        "AND NOT EXISTS (SELECT 1 FROM fork_proof AS f WHERE f.circle = e.circle AND f.log = e.log AND f.seq <= e.seq)",
        [&](const store::sqlite::Row& row) -> Result<void> {
            TRY(auto ctl, codec::decode<std::vector<EventId>>(row.blob(4)));
            out.push_back({row.fixed<EventId>(0), row.fixed<DeviceId>(1), row.fixed<LogId>(2),
                           static_cast<std::uint64_t>(row.integer(3)), std::move(ctl),
                           static_cast<std::uint16_t>(row.integer(5)), row.blob(6), row.integer(7) != 0});
            return ok();
        },
        circle);
    ENSURE(read.has_value());
    return out;
}

// One that nobody builds on.
void check_without_effect(World& world, const Circle& circle, Node& node, Dice& dice) {
    const auto events = control_events(node, circle.id);
    const CircleState whole = fold_control(circle.id, events);
    std::vector<EventId> idle(whole.without_effect.begin(), whole.without_effect.end());
    std::erase_if(idle, [&](const EventId& id) {
        const auto self = std::find_if(events.begin(), events.end(), [&](const auto& e) { return e.id == id; });
        return std::any_of(events.begin(), events.end(), [&](const ControlEvent& e) {
            return std::find(e.ctl.begin(), e.ctl.end(), id) != e.ctl.end() ||
                   (self != events.end() && e.log == self->log && e.seq > self->seq);
        });
    });
    for (int i = 0; i < 2 && !idle.empty(); ++i) {
        const EventId id = dice.pick(idle);
        auto fewer = events;
        std::erase_if(fewer, [&](const ControlEvent& e) { return e.id == id; });
        CircleState without = fold_control(circle.id, fewer);
        without.without_effect.insert(id);
        if (without != whole) world.fail("Without an event that had no effect the circle looks different.");
    }
}

}  // namespace

std::string check_another_order(Node& node, const CircleId& circle, Planted planted, Dice& dice) {
    const auto digest = store::state_digest(node.db(), node.log(), circle);
    if (!digest) return "No digest at " + node.name() + ": " + digest.error().sentence();
    Node other("another order", node.owner, node.person, dice.next(), planted);
    if (!other.start()) return "An empty store does not open.";
    const auto taken = take_all(node, other, circle, dice);
    if (!taken) return "The same events in another order were not taken in: " + taken.error().sentence();
    const auto again = store::state_digest(other.db(), other.log(), circle);
    if (!again) return "The same events in another order make no circle: " + again.error().sentence();
    if (again.value() != digest.value()) return "The same events in another order give other tables.";
    return {};
}

void check_set(World& world, const Circle& circle, Node& node, Dice& dice) {
    const auto digest = store::state_digest(node.db(), node.log(), circle.id);
    if (!digest) return world.fail("No digest at " + node.name() + ": " + digest.error().sentence());
    check_without_effect(world, circle, node, dice);
    if (dice.chance(40)) {
        const std::string wrong = check_another_order(node, circle.id, Planted::none, dice);
        if (!wrong.empty()) world.fail(wrong);
    }
    if (dice.chance(40)) check_rebuild(world, circle, node, digest.value());
}

bool is_forked_away(Node& node, Node& author, const EventId& id) {
    std::optional<std::pair<LogId, std::uint64_t>> place;
    CircleId circle;
    const auto read = author.db().query(
        "SELECT log.log, event.seq, log.circle FROM event JOIN log USING (log_ref) WHERE event.id = ?1",
        [&](const store::sqlite::Row& row) {
            place = {row.fixed<LogId>(0), static_cast<std::uint64_t>(row.integer(1))};
            circle = row.fixed<CircleId>(2);
        },
        id);
    if (!read || !place) return true;  // the author lost it; that is judged elsewhere
    const auto proof = node.log().fork_proof(circle, place->first);
    return proof && proof.value() && proof.value()->seq <= place->second;
}

}  // namespace ladderline::simulation
