#include "node/commands/sees.hpp"

#include <algorithm>
#include <map>

#include "protocol/circle/epochs.hpp"
#include "store/circles/circle_model.hpp"
#include "store/circles/voice_checks.hpp"

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

// The present devices of each member, so that a big club is gone through once.
using DevicesOf = std::map<MemberId, std::vector<const DeviceCertificate*>>;

DevicesOf devices_by_member(const CircleState& state) {
    DevicesOf out;
    for (const auto& [id, device] : state.devices) {
        if (state.present_member(id)) out[device.member].push_back(&device);
    }
    return out;
}

std::string device_words(const DeviceCertificate& device) {
    return device.label + " (" + digits(device.device.view()) + ")";
}

PersonSight person_sight(const Context& context, const CircleState& state, const PersonView& person,
                         const KeyId& current, const DevicesOf& devices) {
    PersonSight out{person.name, std::string(role_word(person.role)), to_hex(person.id.view()), false, {}, {}};
    const auto found = devices.find(person.id);
    if (found == devices.end()) return out;
    for (const DeviceCertificate* device : found->second) {
        out.devices.push_back(device_words(*device));
        out.reads = out.reads || may_read(state, device->device, current, context.today());
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
    TRY(const auto checks, store::voice_checks(context.db));
    const DevicesOf devices = devices_by_member(state);
    for (const PersonView& person : persons) {
        out.people.push_back(person_sight(context, state, person, current, devices));
        const auto check = checks.find(person.id);
        if (check != checks.end()) out.people.back().voice_checked = check->second;
    }
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

Result<std::vector<std::string>> own_devices(Context& context) {
    TRY(const auto all, circles(context.db));
    std::vector<std::string> out;
    for (const CircleView& circle : all) {
        TRY(const CircleState state, store::CircleModel::state_of(context.db, circle.id));
        for (const auto& [id, device] : state.devices) {
            if (device.member != context.me.id() || !state.present_member(id)) continue;
            const std::string words = device_words(device);
            if (std::find(out.begin(), out.end(), words) == out.end()) out.push_back(words);
        }
    }
    return out;
}

}  // namespace ladderline::node
