#include "store/circles/peers.hpp"

#include <algorithm>

namespace ladderline::store {

using namespace protocol;

namespace {

// A row of `back` that stands: neither its member nor this node's owner, ?me, was removed.
std::string returning_stands(const char* me) {
    return std::string("NOT EXISTS (SELECT 1 FROM member WHERE member.circle = back.circle ") +
           "AND member.member IN (back.member, " + me + ") AND member.removed <> 0) ";
}

// Temporary tables of a store live in memory (vault/open_database.cpp).
Result<void> make_room_for_unkept(sqlite::Database& db) {
    return db.run(
        "CREATE TEMP TABLE IF NOT EXISTS unkept (noise BLOB PRIMARY KEY, step INTEGER NOT NULL, at INTEGER NOT NULL, "
        "note TEXT NOT NULL) STRICT, WITHOUT ROWID");
}

}  // namespace

Result<void> remember_returning(sqlite::Database& db, const CircleId& circle, const MemberId& member,
                                const DeviceId& device, const DhPublic& noise) {
    return db.run(
        "INSERT OR REPLACE INTO returning_device (circle, member, device, noise) SELECT ?1, ?2, ?3, ?4 "
        "WHERE NOT EXISTS (SELECT 1 FROM device WHERE circle = ?1 AND device = ?3)",
        circle, member, device, noise);
}

Result<void> remember_welcome(sqlite::Database& db, const CircleId& circle, const DeviceId& device,
                              const DhPublic& noise) {
    return db.run(
        "INSERT INTO welcome (circle, device, noise) VALUES (?1, ?2, ?3) ON CONFLICT (circle, noise) DO UPDATE SET "
        "device = ?2 WHERE device = zeroblob(32)",
        circle, device, noise);
}

Result<std::vector<CircleId>> circles_with(sqlite::Database& db, const MemberId& me, const DhPublic& noise) {
    std::vector<CircleId> out;
    TRY(db.query(
        "SELECT DISTINCT device.circle FROM device "
        "JOIN member AS theirs ON theirs.circle = device.circle AND theirs.member = device.member "
        "JOIN member AS mine ON mine.circle = device.circle AND mine.member = ?2 "
        "WHERE device.noise = ?1 AND theirs.removed = 0 AND mine.removed IN (0, 2) "
        "UNION SELECT circle FROM welcome WHERE noise = ?1 AND NOT EXISTS "
        "(SELECT 1 FROM member WHERE member.circle = welcome.circle AND member.member = ?2 AND removed <> 1) "
        "UNION SELECT circle FROM returning_device AS back WHERE noise = ?1 AND " +
            returning_stands("?2") + "ORDER BY 1",
        [&](const sqlite::Row& row) { out.push_back(row.fixed<CircleId>(0)); }, noise, me));
    return out;
}

Result<bool> is_removed(sqlite::Database& db, const CircleId& circle, const MemberId& member) {
    bool out = false;
    TRY(db.query(
        "SELECT 1 FROM member WHERE circle = ?1 AND member = ?2 AND removed = 1",
        [&](const sqlite::Row&) { out = true; }, circle, member));
    return out;
}

Result<std::vector<PeerDevice>> reachable_peers(sqlite::Database& db, const MemberId& me, const DeviceId& own) {
    std::vector<PeerDevice> out;
    TRY(db.query(
        "SELECT DISTINCT device.device, device.noise, peer.address FROM peer "
        "JOIN device ON device.device = peer.device "
        "JOIN member AS theirs ON theirs.circle = device.circle AND theirs.member = device.member "
        "JOIN member AS mine ON mine.circle = device.circle AND mine.member = ?1 "
        "WHERE theirs.removed = 0 AND mine.removed IN (0, 2) AND device.device <> ?2 "
        "UNION SELECT welcome.device, welcome.noise, peer.address FROM welcome "
        "JOIN peer ON peer.device = welcome.device WHERE NOT EXISTS "
        "(SELECT 1 FROM member WHERE member.circle = welcome.circle AND member.member = ?1 AND removed <> 1) "
        "UNION SELECT back.device, back.noise, peer.address FROM returning_device AS back "
        "JOIN peer ON peer.device = back.device WHERE " +
            returning_stands("?1") + "ORDER BY 1",
        [&](const sqlite::Row& row) {
            out.push_back({row.fixed<DeviceId>(0), row.fixed<DhPublic>(1), row.text(2)});
        },
        me, own));
    return out;
}

Result<void> remember_address(sqlite::Database& db, const DeviceId& device, std::string_view address) {
    return db.run(
        "INSERT INTO peer (device, address, last_note) VALUES (?1, ?2, '') "
        "ON CONFLICT (device) DO UPDATE SET address = ?2",
        device, address);
}

Result<void> note_peer(sqlite::Database& db, const DeviceId& device, const Reached& reached) {
    std::optional<WallTime> ok_at;
    std::optional<WallTime> same_at;
    if (reached.step >= ReachStep::proof) ok_at = reached.at;
    if (reached.step == ReachStep::same) same_at = reached.at;
    return db.run(
        "UPDATE peer SET step = ?2, last_try = ?3, last_note = ?4, last_ok = coalesce(?5, last_ok), "
        "last_same = coalesce(?6, last_same) WHERE device = ?1",
        device, static_cast<std::int64_t>(reached.step), reached.at, reached.note, ok_at, same_at);
}

Result<std::vector<PeerNote>> peer_notes(sqlite::Database& db) {
    std::vector<PeerNote> out;
    const auto time = [](const sqlite::Row& row, int column) {
        return row.is_null(column) ? std::nullopt : std::optional(WallTime{row.integer(column)});
    };
    TRY(db.query("SELECT device, address, last_ok, last_same, last_try, step, last_note FROM peer ORDER BY device",
                 [&](const sqlite::Row& row) {
                     PeerNote note{row.fixed<DeviceId>(0), row.text(1), time(row, 2), time(row, 3), std::nullopt};
                     const std::int64_t step = std::clamp<std::int64_t>(row.integer(5), 0, 5);
                     if (const auto tried = time(row, 4))
                         note.last = {static_cast<ReachStep>(step), *tried, row.text(6)};
                     out.push_back(std::move(note));
                 }));
    return out;
}

Result<void> note_unkept(sqlite::Database& db, const DhPublic& noise, const Reached& reached) {
    TRY(make_room_for_unkept(db));
    return db.run("INSERT OR REPLACE INTO temp.unkept (noise, step, at, note) VALUES (?1, ?2, ?3, ?4)", noise,
                  static_cast<std::int64_t>(reached.step), reached.at, reached.note);
}

Result<void> end_unkept(sqlite::Database& db, const DhPublic& noise) {
    TRY(make_room_for_unkept(db));
    return db.run("DELETE FROM temp.unkept WHERE noise = ?1", noise);
}

Result<std::vector<Unkept>> all_unkept(sqlite::Database& db) {
    TRY(make_room_for_unkept(db));
    std::vector<Unkept> out;
    TRY(db.query(
        "SELECT coalesce((SELECT device FROM device WHERE device.noise = unkept.noise LIMIT 1), "
        "(SELECT device FROM welcome WHERE welcome.noise = unkept.noise AND device <> zeroblob(32) LIMIT 1), "
        "(SELECT device FROM returning_device AS back WHERE back.noise = unkept.noise LIMIT 1)), step, at, note "
        "FROM temp.unkept ORDER BY noise",
        [&](const sqlite::Row& row) {
            Unkept one{std::nullopt, {static_cast<ReachStep>(row.integer(1)), WallTime{row.integer(2)}, row.text(3)}};
            if (!row.is_null(0)) one.device = row.fixed<DeviceId>(0);
            out.push_back(std::move(one));
        }));
    return out;
}

}  // namespace ladderline::store
