#include "node/commands/sees.hpp"

#include <algorithm>
#include <map>

#include "node/commands/own_clubs.hpp"
#include "protocol/circle/epochs.hpp"
#include "protocol/event/kinds.hpp"
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

std::string device_words(const std::string& label, const DeviceId& device) {
    return label + " (" + digits(device.view()) + ")";
}

PersonSight person_sight(const Context& context, const CircleState& state, const PersonView& person,
                         const KeyId& current, const DevicesOf& devices) {
    PersonSight out{person.name, std::string(role_word(person.role)), to_hex(person.id.view()), false, {}, {}};
    const auto found = devices.find(person.id);
    if (found == devices.end()) return out;
    for (const DeviceCertificate* device : found->second) {
        out.devices.push_back(device_words(device->label, device->device));
        out.reads = out.reads || may_read(state, device->device, current, context.today());
    }
    return out;
}

std::string events_words(std::uint64_t count) {
    return std::to_string(count) + (count == 1 ? " line" : " lines");
}

std::string unread_words(std::uint64_t waiting) {
    return events_words(waiting) + " wait for a key that has not come to this node yet.";
}

Result<std::uint64_t> unread_lines(Context& context, const CircleId& circle) {
    std::uint64_t waiting = 0;
    TRY(context.db.query(
        "SELECT count(*) FROM unread JOIN log USING (log_ref) WHERE log.circle = ?1",
        [&](const store::sqlite::Row& row) { waiting = static_cast<std::uint64_t>(row.integer(0)); }, circle));
    return waiting;
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
    TRY(const std::uint64_t waiting, unread_lines(context, circle));
    if (waiting > 0) out.push_back(unread_words(waiting));
    TRY(const bool unasked, came_unasked(context, circle));
    if (unasked && state.kind == CircleKind::club) {
        out.emplace_back(
            "You did not join this club: its key came unasked. 'ladderline leave club' with its name ends that.");
    }
    return out;
}

}  // namespace

Result<CircleSight> sight_of(Context& context, const CircleView& circle) {
    TRY(const CircleState state, context.state_of(circle.id));
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

namespace {

// When the key came that is written under, from the tables; none if they do not say all about it, as for a key that is
// a household's.
Result<std::optional<WallTime>> key_since(Context& context, const CircleId& circle, const KeyId& current) {
    std::optional<KeyId> epoch;
    TRY(context.db.query(
        "SELECT epoch FROM circle WHERE circle = ?1",
        [&](const store::sqlite::Row& row) {
            if (!row.is_null(0)) epoch = row.fixed<KeyId>(0);
        },
        circle));
    std::vector<WallTime> found;
    bool all_read = !epoch || *epoch == current;
    const EventId founding{circle.data};
    TRY(context.db.query(
        "SELECT id, kind, payload, said FROM control_event WHERE circle = ?1 AND (kind = ?2 OR id = ?3)",
        [&](const store::sqlite::Row& row) {
            const bool is_rotation = row.integer(1) == kind::rotate_key;
            const auto body = is_rotation ? read_payload<RotateBody>(row.blob(2)) : std::nullopt;
            const bool is_meant = epoch ? body && body->key == *epoch : row.fixed<EventId>(0) == founding;
            if (!is_meant) return;
            found.push_back(WallTime{row.integer(3)});
            all_read = all_read && (!body || body->readers == Readers::everyone);
        },
        circle, kind::rotate_key, founding));
    return all_read && found.size() == 1 ? std::optional(found.front()) : std::nullopt;
}

Result<std::vector<PersonSight>> sights_from_tables(Context& context, const CircleId& circle,
                                                    std::span<const PersonView> some) {
    std::map<MemberId, std::vector<std::string>> devices;
    for (const PersonView& person : some) devices[person.id];
    TRY(context.db.query(
        "SELECT member, label, device FROM device WHERE circle = ?1 ORDER BY device",
        [&](const store::sqlite::Row& row) {
            const auto found = devices.find(row.fixed<MemberId>(0));
            if (found == devices.end()) return;
            found->second.push_back(device_words(row.text(1), row.fixed<DeviceId>(2)));
        },
        circle));
    TRY(const auto checks, store::voice_checks(context.db));
    std::vector<PersonSight> out;
    for (const PersonView& person : some) {
        auto& own = devices[person.id];
        const bool reads = !own.empty();
        out.push_back(
            {person.name, std::string(role_word(person.role)), to_hex(person.id.view()), reads, std::move(own), {}});
        if (const auto check = checks.find(person.id); check != checks.end()) out.back().voice_checked = check->second;
    }
    return out;
}

Result<CircleSight> part_of_full_sight(Context& context, const CircleView& circle, std::span<const PersonView> some) {
    TRY(CircleSight out, sight_of(context, circle));
    std::erase_if(out.people, [&](const PersonSight& sight) {
        return std::ranges::none_of(some,
                                    [&](const PersonView& person) { return to_hex(person.id.view()) == sight.key; });
    });
    return out;
}

}  // namespace

Result<CircleSight> sight_of_some(Context& context, const CircleView& circle, std::span<const PersonView> some) {
    TRY(const auto forks, store::forked_logs(context.db, circle.id));
    if (circle.kind == CircleKind::path || !forks.empty()) return part_of_full_sight(context, circle, some);
    TRY(const AeadKey key, context.log.current_key(circle.id));
    const KeyId current = id_of_key(key);
    TRY(const auto since, key_since(context, circle.id, current));
    if (!since) return part_of_full_sight(context, circle, some);
    CircleSight out{kind_word(circle.kind), circle.name, digits(current.view()), *since, false, {}, {}, {}};
    TRY(out.people, sights_from_tables(context, circle.id, some));
    TRY(const std::uint64_t waiting, unread_lines(context, circle.id));
    if (waiting > 0) out.notes.push_back(unread_words(waiting));
    TRY(context.db.query(
        "SELECT name FROM member WHERE circle = ?1 AND removed <> 0 ORDER BY member",
        [&](const store::sqlite::Row& row) { out.gone.push_back(row.text(0)); }, circle.id));
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
    std::vector<std::string> out;
    TRY(context.db.query(
        "SELECT d.label, d.device FROM circle AS c JOIN member AS m ON m.circle = c.circle AND m.member = ?1 "
        "AND m.removed = 0 CROSS JOIN device AS d ON d.circle = c.circle AND d.member = m.member "
        "ORDER BY c.kind, c.name, c.circle, d.device",
        [&](const store::sqlite::Row& row) {
            const std::string words = device_words(row.text(0), row.fixed<DeviceId>(1));
            if (std::find(out.begin(), out.end(), words) == out.end()) out.push_back(words);
        },
        context.me.id()));
    return out;
}

}  // namespace ladderline::node
