#include "node/commands/sees.hpp"

#include "protocol/circle/epochs.hpp"
#include "store/circles/circle_model.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t digits_shown = 8;

std::string digits(ByteView id) {
    return to_hex(id).substr(0, digits_shown);
}

std::string kind_word(CircleKind kind) {
    switch (kind) {
        case CircleKind::club:
            return "Club";
        case CircleKind::path:
            return "Path";
        case CircleKind::desk:
            break;
    }
    return "Desk";
}

PersonSight person_sight(const Context& context, const CircleState& state, const PersonView& person,
                         const KeyId& current) {
    PersonSight out{person.name, std::string(role_word(person.role)), to_hex(person.id.view()), false, {}};
    for (const auto& [id, device] : state.devices) {
        if (device.member != person.id || !state.present_member(id)) continue;
        out.devices.push_back(device.label + " (" + digits(id.view()) + ")");
        out.reads = out.reads || may_read(state, id, current, context.today());
    }
    return out;
}

std::string events_words(std::uint64_t count) {
    return std::to_string(count) + (count == 1 ? " line" : " lines");
}

// Lines that were taken out after the fact, or cannot be read yet: said, not hidden.
Result<std::vector<std::string>> notes_of(Context& context, const CircleId& circle, const CircleState& state) {
    std::vector<std::string> out;
    TRY(const auto forks, store::forked_logs(context.db, circle));
    for (const store::ForkedLog& fork : forks) {
        const auto device = state.devices.find(fork.device);
        const bool is_known = device != state.devices.end() && state.members.contains(device->second.member);
        out.push_back(
            "A device of " +
            (is_known ? state.members.at(device->second.member).name : std::string("somebody unknown")) + " (" +
            digits(fork.device.view()) +
            ") wrote two different lines with one number, as a copied store does: " + events_words(fork.withdrawn) +
            " from there on no longer count; its owner reports it lost and begins anew.");
    }
    std::uint64_t waiting = 0;
    TRY(context.db.query(
        "SELECT count(*) FROM unread JOIN log USING (log_ref) WHERE log.circle = ?1",
        [&](const store::sqlite::Row& row) { waiting = static_cast<std::uint64_t>(row.integer(0)); }, circle));
    if (waiting > 0) out.push_back(events_words(waiting) + " wait for a key that has not come to this node yet.");
    return out;
}

}  // namespace

Result<CircleSight> sight_of(Context& context, const CircleView& circle) {
    TRY(const CircleState state, store::CircleModel::state_of(context.db, circle.id));
    TRY(const AeadKey key, context.log.current_key(circle.id));
    const KeyId current = id_of_key(key);
    CircleSight out{kind_word(circle.kind), circle.name, digits(current.view()), {}, false, {}, {}, {}};
    TRY(out.key_since, store::CircleModel::epoch_since(context.db, circle.id, state));
    out.key_due = rotation_due(state, out.key_since, context.now());
    TRY(const auto persons, people(context.db, circle.id));
    for (const PersonView& person : persons) out.people.push_back(person_sight(context, state, person, current));
    TRY(out.notes, notes_of(context, circle.id, state));
    for (const auto& [id, member] : state.members) {
        if (member.removed) out.gone.push_back(member.name);
    }
    return out;
}

Result<std::vector<CircleSight>> who_sees(Context& context) {
    TRY(const auto all, circles(context.db));
    std::vector<CircleSight> out;
    for (const CircleView& circle : all) {
        TRY(CircleSight sight, sight_of(context, circle));
        out.push_back(std::move(sight));
    }
    return out;
}

}  // namespace ladderline::node
