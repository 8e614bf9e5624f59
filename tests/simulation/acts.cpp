#include "tests/simulation/acts.hpp"

#include <algorithm>

#include "node/read_models/circle_views.hpp"
#include "protocol/event/kinds.hpp"
#include "store/circles/log_ends.hpp"
#include "store/circles/new_key.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

struct Place {
    World& world;
    Node& node;
    CircleId circle;
    CircleState state;
    Dice dice;
};

bool is_present(const CircleState& state, const MemberId& id) {
    const auto member = state.members.find(id);
    return member != state.members.end() && !member->second.removed;
}

void say_words(Place& at) {
    const std::size_t count = 1 + at.dice.below(5);
    for (std::size_t i = 0; i < count; ++i) {
        Words said = words(at.world, at.node, at.circle, at.dice);
        std::vector<EventId> supersedes;
        if (said.is_register) {
            const auto all = node::shown(at.node.db(), at.circle, said.kind);
            if (!all && all.error().fault() == Fault::disk) return at.world.disk_failed(at.node);
            if (!all) return at.world.fail("Cards could not be read: " + all.error().sentence());
            for (const node::ShownView& view : all.value()) {
                if (view.by == at.node.me.id()) supersedes.push_back(view.id);
            }
        }
        if (!say(at.world, at.node, at.circle, said.kind, std::move(said.payload), std::move(supersedes))) return;
    }
}

MemberRole some_role(Place& at) {
    if (at.state.kind == CircleKind::club) return MemberRole(1 + at.dice.below(5));
    return MemberRole(2 + at.dice.below(3));
}

void admit(Place& at, Node& other) {
    const MemberId id = other.me.id();
    const bool is_minor = at.dice.chance(5);
    MemberRole role = some_role(at);
    // On a minor's path the order matters; most people keep to it.
    for (const MemberRole wanted : {MemberRole::guardian, MemberRole::second_adult}) {
        if (is_minors_path(at.state) && !at.state.first_with(wanted) && at.dice.chance(80)) {
            role = wanted;
            break;
        }
    }
    if (is_present(at.state, id) || !may_admit(at.state, at.node.me.id(), role, is_minor)) return;
    const AdmitBody body{
        id, role, static_cast<std::uint8_t>(at.dice.below(5)), other.person.name, is_minor, {other.me.certificate}};
    if (at.state.devices.contains(other.me.device_id()) && at.state.revoked.contains(other.me.device_id())) return;
    if (!say(at.world, at.node, at.circle, kind::admit, codec::encode(body))) return;
    at.world.tell(at.node.name() + " let " + other.name() + " in.");
    rotate_if_due(at.world, at.node, at.circle, false);
    hand_key(at.world, at.node, other, at.circle);
}

void certify_device(Place& at, Node& other) {
    if (other.owner != at.node.owner || at.state.devices.contains(other.me.device_id())) return;
    if (!say(at.world, at.node, at.circle, kind::certify, codec::encode(CertifyBody{other.me.certificate}))) return;
    at.world.tell(at.node.name() + " certified " + other.name() + ".");
    hand_key(at.world, at.node, other, at.circle);
}

void set_role(Place& at, Node& other) {
    const MemberRole role = some_role(at);
    if (!may_set_role(at.state, at.node.me.id(), other.me.id(), role)) return;
    if (say(at.world, at.node, at.circle, kind::set_role,
            codec::encode(SetRoleBody{other.me.id(), role, static_cast<std::uint8_t>(at.dice.below(5))}))) {
        at.world.tell(at.node.name() + " gave " + other.name() + " the role " + std::to_string(int(role)) + ".");
    }
}

// None if the disk says no, which then meets the event too.
std::vector<Cut> ends_of(Place& at, const std::function<bool(const DeviceCertificate&)>& is_meant) {
    auto found = store::log_ends(at.node.db(), at.circle, at.state, is_meant);
    return found ? std::move(found).value() : std::vector<Cut>();
}

void remove(Place& at, Node& other) {
    if (other.owner == at.node.owner || !may_remove(at.state, at.node.me.id(), other.me.id())) return;
    auto cuts = ends_of(at, [&](const DeviceCertificate& device) { return device.member == other.me.id(); });
    if (!say(at.world, at.node, at.circle, kind::remove,
             codec::encode(RemoveBody{other.me.id(), "because", std::move(cuts)}))) {
        return;
    }
    at.world.tell(at.node.name() + " removed " + other.name() + ".");
    rotate_if_due(at.world, at.node, at.circle, false);
}

void leave(Place& at) {
    if (at.state.founder == at.node.me.id() && !at.dice.chance(10)) return;
    auto cuts = ends_of(at, [&](const DeviceCertificate& device) { return device.member == at.node.me.id(); });
    if (say(at.world, at.node, at.circle, kind::leave, codec::encode(LeaveBody{std::move(cuts)}))) {
        at.world.tell(at.node.name() + " left.");
    }
}

void revoke(Place& at, Node& other) {
    if (!may_revoke(at.state, at.node.me.device_id(), other.me.device_id())) return;
    auto cuts = ends_of(at, [&](const DeviceCertificate& device) { return device.device == other.me.device_id(); });
    if (!say(at.world, at.node, at.circle, kind::revoke,
             codec::encode(RevokeBody{other.me.device_id(), "lost", std::move(cuts)}))) {
        return;
    }
    at.world.tell(at.node.name() + " reported the device of " + other.name() + " lost.");
    rotate_if_due(at.world, at.node, at.circle, false);
}

void extend(Place& at, Node& other) {
    if (!may_extend(at.state, at.node.me.id(), other.me.id())) return;
    std::vector<Cut> cuts;
    const auto read = at.node.db().query(
        "SELECT log, next_seq, head FROM log WHERE circle = ?1 AND device = ?2 AND next_seq > 0",
        [&](const store::sqlite::Row& row) {
            cuts.push_back(
                {row.fixed<LogId>(0), static_cast<std::uint64_t>(row.integer(1)) - 1, row.fixed<EventId>(2)});
        },
        at.circle, other.me.device_id());
    if (!read || cuts.size() > limits::list_max) return;
    if (say(at.world, at.node, at.circle, kind::extend_cut,
            codec::encode(ExtendCutBody{other.me.id(), std::move(cuts)}))) {
        at.world.tell(at.node.name() + " let later words of " + other.name() + " count.");
    }
}

void consent(Place& at) {
    if (!may_consent(at.state, at.node.me.id())) return;
    const Day today = utc_day(at.node.clock(at.world.now));
    const ConsentBody body{today, today + static_cast<std::int32_t>(at.dice.below(700)), at.dice.chance(25)};
    if (!say(at.world, at.node, at.circle, kind::consent, codec::encode(body))) return;
    at.world.tell(at.node.name() + (body.withdrawn ? " took consent back." : " gave consent."));
    rotate_if_due(at.world, at.node, at.circle, false);
}

void take_back(Place& at) {
    auto up_to = ends_of(at, [&](const DeviceCertificate& device) { return device.member == at.node.me.id(); });
    if (up_to.empty()) return;
    if (say(at.world, at.node, at.circle, kind::take_back, codec::encode(TakeBackBody{std::move(up_to)}))) {
        at.world.tell(at.node.name() + " took back what was said so far.");
    }
}

Result<EventId> bring_key(World& world, Node& node, const CircleId& circle, const CircleState& state) {
    const WallTime now = node.clock(world.now);
    TRY(const auto key, store::new_key_for(node.log(), circle, state, readers_on(state, utc_day(now)), node.me.id()));
    TRY(auto tx, store::sqlite::Transaction::begin(node.db()));
    TRY(store::see_off_within(node.log(), circle, state, node.me.id(), now));
    TRY(const EventId id, node.log().rotate_within(circle, key, now));
    TRY(tx.commit());
    return id;
}

void confirm(World& world, Node& node, const CircleId& circle, const EventId& id) {
    node.acknowledged.push_back({circle, id});
    world.counts.events += 1;
    world.trace.add(id.view());
    world.news(node, circle);
}

}  // namespace

bool say(World& world, Node& node, const CircleId& circle, std::uint16_t kind, Bytes payload,
         std::vector<EventId> supersedes) {
    const auto said =
        node.log().append({circle, kind, std::move(payload), std::move(supersedes)}, node.clock(world.now));
    if (!said) {
        if (said.error().fault() == Fault::disk || said.error().fault() == Fault::busy) {
            world.disk_failed(node);
        } else {
            world.fail(node.name() + " could not write: " + said.error().sentence());
        }
        return false;
    }
    confirm(world, node, circle, said.value());
    return true;
}

void rotate_if_due(World& world, Node& node, const CircleId& circle, bool always) {
    if (!node.is_up()) return;
    const auto known = node.states().of(circle);
    if (!known) return;
    const CircleState state = *known.value();
    if (!may_rotate(state, node.me.id()) || !state.present_member(node.me.device_id())) return;
    const auto since = store::CircleModel::epoch_since(node.db(), circle, state);
    if (!since && since.error().fault() == Fault::disk) return world.disk_failed(node);
    if (!since)
        return world.fail(node.name() + " does not know since when its key is used: " + since.error().sentence());
    if (!always && !rotation_due(state, since.value(), node.clock(world.now))) return;
    const auto brought = bring_key(world, node, circle, state);
    if (brought) {
        world.tell(node.name() + " brought a new key.");
        return confirm(world, node, circle, brought.value());
    }
    if (brought.error().fault() == Fault::disk || brought.error().fault() == Fault::busy)
        return world.disk_failed(node);
    if (brought.error().fault() != Fault::not_found) {
        world.fail(node.name() + " could not bring a new key: " + brought.error().sentence());
    }
}

void hand_key(World& world, Node& from, Node& to, const CircleId& circle) {
    if (!from.is_up() || !to.is_up()) return;
    const Day today = utc_day(from.clock(world.now));
    const auto key = store::key_for_device(from.states(), from.log(), circle, to.me.noise.pub, today);
    if (!key || !key.value()) return;
    auto kept = store::remember_welcome(to.db(), circle, from.me.device_id(), from.me.noise.pub);
    if (kept) kept = to.log().add_key(circle, *key.value());
    if (!kept) return world.disk_failed(to);
    to.welcomed[circle] = from.me.noise.pub;
    world.tell(from.name() + " gave " + to.name() + " the key.");
}

void act(World& world, const Step& step) {
    Node* node = world.node_at(step.who);
    Node* other = world.node_at(step.other);
    if (node == nullptr || other == nullptr || !node->is_up()) return;
    Dice dice(step.dice);
    const Circle* circle = world.circle_of(*node, dice);
    if (circle == nullptr) return;
    const auto state = node->states().of(circle->id);
    if (!state || !state.value()->present_member(node->me.device_id())) return;
    Place at{world, *node, circle->id, *state.value(), dice};
    switch (step.what) {
        case What::say:
            return say_words(at);
        case What::admit:
            return admit(at, *other);
        case What::certify:
            return certify_device(at, *other);
        case What::set_role:
            return set_role(at, *other);
        case What::remove:
            return remove(at, *other);
        case What::leave:
            return leave(at);
        case What::revoke:
            return revoke(at, *other);
        case What::extend:
            return extend(at, *other);
        case What::rotate:
            return rotate_if_due(world, *node, circle->id, true);
        case What::consent:
            return consent(at);
        case What::take_back:
            return take_back(at);
        case What::paper_box:
            static_cast<void>(
                say(world, *node, circle->id, kind::paper_box, codec::encode(PaperBoxBody{make_dh_keys(dice).pub})));
            return;
        default:
            return;
    }
}

}  // namespace ladderline::simulation
