#include "store/circles/circle_model.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <set>

#include "protocol/event/kinds.hpp"

namespace ladderline::store {
namespace {

using protocol::CircleId;
using protocol::CircleState;
using protocol::ControlEvent;

constexpr std::int64_t whole_log = std::int64_t{1} << 62;
constexpr int present = 0;
constexpr int gone_by_removal = 1;
constexpr int gone_by_leaving = 2;

Result<std::vector<ControlEvent>> control_events(sqlite::Database& db, const CircleId& circle) {
    std::vector<ControlEvent> out;
    TRY(db.query(
        "SELECT count(*) FROM control_event WHERE circle = ?1",
        [&](const sqlite::Row& row) { out.reserve(static_cast<std::size_t>(row.integer(0))); }, circle));
    TRY(db.query(
        "SELECT id, device, log, seq, ctl, kind, payload, genuine FROM control_event AS e WHERE circle = ?1 "
        "AND NOT EXISTS (SELECT 1 FROM fork_proof AS f WHERE f.circle = e.circle AND f.log = e.log AND f.seq <= e.seq)",
        [&](const sqlite::Row& row) -> Result<void> {
            ControlEvent e;
            e.id = row.fixed<protocol::EventId>(0);
            e.author = row.fixed<protocol::DeviceId>(1);
            e.log = row.fixed<protocol::LogId>(2);
            e.seq = static_cast<std::uint64_t>(row.integer(3));
            TRY(e.ctl, protocol::codec::decode<std::vector<protocol::EventId>>(row.blob(4)));
            e.kind = static_cast<std::uint16_t>(row.integer(5));
            e.payload = row.blob(6);
            e.genuine = row.integer(7) != 0;
            out.push_back(std::move(e));
            return ok();
        },
        circle));
    return out;
}

Result<void> write_members(sqlite::Database& db, const CircleId& circle, const CircleState& state) {
    TRY(db.run("DELETE FROM member WHERE circle = ?1", circle));
    TRY(db.run("DELETE FROM device WHERE circle = ?1", circle));
    for (const auto& [id, member] : state.members) {
        TRY(db.run(
            "INSERT INTO member (circle, member, role, level, name, minor, removed) VALUES (?1,?2,?3,?4,?5,?6,?7)",
            circle, id, member.role, member.level, member.name, member.is_minor,
            std::int64_t{member.removed ? (member.left ? gone_by_leaving : gone_by_removal) : present}));
    }
    for (const auto& [id, device] : state.devices) {
        if (state.revoked.contains(id)) continue;
        TRY(db.run("INSERT INTO device (circle, device, member, noise, box, label) VALUES (?1,?2,?3,?4,?5,?6)", circle,
                   id, device.member, device.noise, device.box, device.label));
    }
    return ok();
}

// A device that came back counts by the word of whoever let it back until the circle has shown it, and never again by
// that: not once it is lost, nor where its log forks and takes the certificate away.
Result<void> forget_returning(sqlite::Database& db, const CircleId& circle, const CircleState& state) {
    std::vector<protocol::DeviceId> shown;
    TRY(db.query(
        "SELECT device FROM returning_device WHERE circle = ?1",
        [&](const sqlite::Row& row) {
            const auto device = row.fixed<protocol::DeviceId>(0);
            if (state.devices.contains(device) || state.revoked.contains(device)) shown.push_back(device);
        },
        circle));
    for (const protocol::DeviceId& device : shown) {
        TRY(db.run("DELETE FROM returning_device WHERE circle = ?1 AND device = ?2", circle, device));
    }
    return ok();
}

// How much of each log of the circle counts, and as whose word.
Result<void> write_authors(sqlite::Database& db, const CircleId& circle, const CircleState& state) {
    TRY(db.run("DELETE FROM author WHERE circle = ?1", circle));
    struct Log {
        std::int64_t ref;
        protocol::LogId id;
        protocol::DeviceId device;
        std::vector<protocol::EventId> first_ctl;
        std::int64_t seq_max;  // what stands before a fork
    };
    std::vector<Log> logs;
    TRY(db.query(
        "SELECT log_ref, log.log, log.device, event.ctl, fork_proof.seq FROM log JOIN event USING (log_ref) "
        "LEFT JOIN fork_proof ON fork_proof.circle = log.circle AND fork_proof.log = log.log "
        "WHERE log.circle = ?1 AND event.seq = 0",
        [&](const sqlite::Row& row) -> Result<void> {
            const std::int64_t seq_max = row.is_null(4) ? whole_log : row.integer(4) - 1;
            Log log{row.integer(0), row.fixed<protocol::LogId>(1), row.fixed<protocol::DeviceId>(2), {}, seq_max};
            TRY(log.first_ctl, protocol::codec::decode<std::vector<protocol::EventId>>(row.blob(3)));
            logs.push_back(std::move(log));
            return ok();
        },
        circle));
    for (const Log& log : logs) {
        const auto last = state.counts_until(log.device, log.id, log.first_ctl);
        constexpr auto everything = std::numeric_limits<std::uint64_t>::max();
        const bool is_cut = state.member_of(log.device) != nullptr && last != everything;
        TRY(db.run("UPDATE log SET closed = ?2 WHERE log_ref = ?1", log.ref, is_cut));
        if (!last || log.seq_max < 0) continue;  // nothing counts where the first event forks
        const protocol::MemberId& id = state.devices.at(log.device).member;
        const protocol::Member& member = state.members.at(id);
        const auto seq_max =
            std::min(log.seq_max, static_cast<std::int64_t>(std::min<std::uint64_t>(*last, whole_log)));
        const auto seq_min = std::min<std::uint64_t>(state.shown_from(log.device, log.id), whole_log);
        TRY(
            db.run("INSERT INTO author (log_ref, circle, member, role, level, seq_min, seq_max) "
                   "VALUES (?1,?2,?3,?4,?5,?6,?7)",
                   log.ref, circle, id, member.role, member.level, seq_min, seq_max));
    }
    return ok();
}

// As table `circle` has it: the last day, 0 if it was taken back, none if nothing was said.
std::optional<std::int64_t> consent_until(const CircleState& state) {
    if (!state.consent) return std::nullopt;
    return state.consent->said.withdrawn ? 0 : std::int64_t{state.consent->said.keep_until.number};
}

Result<void> write_circle(sqlite::Database& db, const CircleId& circle, const CircleState& state) {
    const Bytes heads = protocol::codec::encode(state.heads);
    std::optional<protocol::KeyId> epoch;
    if (!state.epochs.empty()) epoch = state.epochs.front().key;
    return db.run(
        "INSERT INTO circle (circle, kind, name, founder, ctl_heads, epoch, consent) VALUES (?1,?2,?3,?4,?5,?6,?7) "
        "ON CONFLICT (circle) DO UPDATE SET kind = excluded.kind, name = excluded.name, founder = excluded.founder, "
        "ctl_heads = excluded.ctl_heads, epoch = excluded.epoch, consent = excluded.consent",
        circle, state.kind, state.name, state.founder, heads, epoch, consent_until(state));
}

// Keys that only somebody who may change the circle's key can have brought.
Result<void> write_keys(sqlite::Database& db, const CircleId& circle, const CircleState& state,
                        const std::vector<ControlEvent>& events) {
    std::optional<protocol::KeyId> current;  // none: the founding key
    if (!state.epochs.empty()) current = state.epochs.front().key;
    TRY(db.run("DELETE FROM standing_key WHERE circle = ?1", circle));
    TRY(
        db.run("INSERT INTO standing_key (circle, key_id, is_current, since) "
               "SELECT ?1, event.key_id, ?2 IS NULL OR event.key_id = ?2, founding.said FROM log "
               "JOIN event USING (log_ref) JOIN control_event AS founding ON founding.id = event.id "
               "WHERE log.circle = ?1 AND log.founding = 1 AND event.seq = 0",
               circle, current));
    for (const ControlEvent& e : events) {
        if (e.kind != protocol::kind::rotate_key || state.without_effect.contains(e.id)) continue;
        const auto rotation = protocol::codec::decode<protocol::RotateBody>(e.payload);
        if (!rotation) continue;
        TRY(
            db.run("INSERT INTO standing_key (circle, key_id, is_current, since) "
                   "SELECT ?1, ?2, ?3, said FROM control_event WHERE id = ?4 "
                   "ON CONFLICT (circle, key_id) DO UPDATE SET since = min(since, excluded.since)",
                   circle, rotation.value().key, current == rotation.value().key, e.id));
    }
    return ok();
}

}  // namespace

Result<void> CircleModel::reset(sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS control_event;
        DROP TABLE IF EXISTS member;
        DROP TABLE IF EXISTS device;
        DROP TABLE IF EXISTS author;
        DROP TABLE IF EXISTS standing_key;
        CREATE TABLE control_event (
            id BLOB NOT NULL PRIMARY KEY, circle BLOB NOT NULL, device BLOB NOT NULL, log BLOB NOT NULL,
            seq INTEGER NOT NULL, ctl BLOB NOT NULL, kind INTEGER NOT NULL, payload BLOB NOT NULL,
            genuine INTEGER NOT NULL, said INTEGER NOT NULL
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX control_event_by_circle ON control_event (circle);
        CREATE TABLE member (
            circle BLOB NOT NULL, member BLOB NOT NULL, role INTEGER NOT NULL, level INTEGER NOT NULL,
            name TEXT NOT NULL, minor INTEGER NOT NULL, removed INTEGER NOT NULL, PRIMARY KEY (circle, member)
        ) STRICT, WITHOUT ROWID;
        CREATE TABLE device (
            circle BLOB NOT NULL, device BLOB NOT NULL, member BLOB NOT NULL, noise BLOB NOT NULL,
            box BLOB NOT NULL, label TEXT NOT NULL, PRIMARY KEY (circle, device)
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX device_by_noise ON device (noise);
        CREATE TABLE author (
            log_ref INTEGER PRIMARY KEY, circle BLOB NOT NULL, member BLOB NOT NULL, role INTEGER NOT NULL,
            level INTEGER NOT NULL, seq_min INTEGER NOT NULL, seq_max INTEGER NOT NULL
        ) STRICT;
        CREATE TABLE standing_key (
            circle BLOB NOT NULL, key_id BLOB NOT NULL, is_current INTEGER NOT NULL, since INTEGER NOT NULL,
            PRIMARY KEY (circle, key_id)
        ) STRICT, WITHOUT ROWID;
    )");
}

Result<void> CircleModel::apply(sqlite::Database& db, const OpenedEvent& event) {
    if (!protocol::kind::is_control(event.body.kind)) return ok();
    changed_.insert(event.circle);
    const Bytes ctl = protocol::codec::encode(event.ctl);
    return db.run(
        "INSERT OR IGNORE INTO control_event (id, circle, device, log, seq, ctl, kind, payload, genuine, "
        "said) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10)",
        event.id, event.circle, event.device, event.log, event.seq, ctl, event.body.kind, event.body.payload,
        protocol::has_genuine_certificates(event.body.kind, event.body.payload), event.body.time.wall);
}

Result<void> CircleModel::settle(sqlite::Database& db, const CircleId& circle, bool new_log) {
    if (changed_.erase(circle) == 0 && !new_log) return ok();
    TRY(const auto events, control_events(db, circle));
    const CircleState state = protocol::fold_control(circle, events);
    if (!state.is_founded()) return ok();
    TRY(write_circle(db, circle, state));
    TRY(write_members(db, circle, state));
    TRY(write_keys(db, circle, state, events));
    TRY(forget_returning(db, circle, state));
    return write_authors(db, circle, state);
}

Result<CircleState> CircleModel::state_of(sqlite::Database& db, const CircleId& circle) {
    TRY(const auto events, control_events(db, circle));
    CircleState state = protocol::fold_control(circle, events);
    if (!state.is_founded()) {
        return Error{Fault::not_found, "That circle is not known here yet; connect to somebody who is in it."};
    }
    return state;
}

Result<WallTime> CircleModel::epoch_since(sqlite::Database& db, const CircleId& circle, const CircleState& state) {
    const protocol::EventId event = state.epochs.empty() ? protocol::EventId{circle.data} : state.epochs.front().event;
    std::optional<WallTime> since;
    TRY(db.query(
        "SELECT said FROM control_event WHERE id = ?1",
        [&](const sqlite::Row& row) { since = WallTime{row.integer(0)}; }, event));
    if (!since) return Error{Fault::damaged, "The event that brought this circle's key is missing; run a check."};
    return *since;
}

}  // namespace ladderline::store
