#include "store/courier/courier_desk.hpp"

#include "store/sqlite/transaction.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

constexpr std::int64_t day_ms = 86'400'000;

Result<std::int64_t> number(sqlite::Database& db, std::string_view sql) {
    std::int64_t out = 0;
    TRY(db.query(sql, [&](const sqlite::Row& row) { out = row.integer(0); }));
    return out;
}

// The greatest arrival number stays in the table when the log that has it goes: in a log without events whose name fits
// its opening, as the check of the chains wants it.
Result<void> keep_arrivals(sqlite::Database& db) {
    const LogOpening opening;
    return db.run(
        "INSERT INTO log (circle, log, device, salt, founding, mine, next_seq, head, arrival) SELECT ?1, ?2, ?3, ?4, "
        "0, 0, 0, ?5, latest FROM (SELECT max(arrival) AS latest FROM log) WHERE latest IS NOT NULL "
        "ON CONFLICT (circle, log) DO UPDATE SET arrival = excluded.arrival",
        CircleId{}, log_id_of({}, opening), opening.device, opening.salt, EventId{});
}

Result<void> remove_within(sqlite::Database& db, const CircleId& circle) {
    TRY(keep_arrivals(db));
    constexpr std::string_view steps[] = {
        "DELETE FROM missing_key WHERE circle = ?1",
        "DELETE FROM unread WHERE log_ref IN (SELECT log_ref FROM log WHERE circle = ?1)",
        "DELETE FROM event WHERE log_ref IN (SELECT log_ref FROM log WHERE circle = ?1)",
        "DELETE FROM log WHERE circle = ?1",
        "DELETE FROM fork_proof WHERE circle = ?1",
        "DELETE FROM courier_copy WHERE circle = ?1",
        "DELETE FROM courier_former WHERE circle = ?1",
        "DELETE FROM courier_growth WHERE circle = ?1",
        "DELETE FROM courier_place WHERE circle = ?1",
    };
    for (const std::string_view step : steps) {
        TRY(db.run(step, circle));
    }
    return ok();
}

Result<std::optional<SignPublic>> access_of_place(sqlite::Database& db, const CircleId& circle) {
    std::optional<SignPublic> out;
    TRY(db.query(
        "SELECT access FROM courier_place WHERE circle = ?1",
        [&](const sqlite::Row& row) { out = row.fixed<SignPublic>(0); }, circle));
    return out;
}

}  // namespace

Result<void> add_courier_code(sqlite::Database& db, const CourierCode& code) {
    TRY(const std::int64_t taken,
        number(db, "SELECT (SELECT count(*) FROM courier_place) + (SELECT count(*) FROM courier_code)"));
    if (taken >= static_cast<std::int64_t>(limits::courier_places_max)) {
        return Error{Fault::refused,
                     "This courier has given out all the places it can keep; no code was made. End one first."};
    }
    return db.run("INSERT INTO courier_code (code, secret, quota, days, expires) VALUES (?1, ?2, ?3, ?4, ?5)", code.id,
                  code.secret, code.quota_bytes, code.days, code.expires);
}

Result<std::optional<Bytes>> secret_of_code(sqlite::Database& db, const InviteId& id, WallTime now) {
    std::optional<Bytes> secret;
    TRY(db.query(
        "SELECT secret FROM courier_code WHERE code = ?1 AND expires > ?2",
        [&](const sqlite::Row& row) { secret = row.blob(0); }, id, now));
    return secret;
}

Result<PlacedMessage> take_place(sqlite::Database& db, const CourierSelf& self, const InviteId& id,
                                 const PlaceMessage& message, WallTime now, const ProvenAccess& proven) {
    PlacedMessage out;
    std::optional<PlacedMessage::Place> place;
    TRY(db.query(
        "SELECT quota, days FROM courier_code WHERE code = ?1 AND expires > ?2",
        [&](const sqlite::Row& row) {
            place = PlacedMessage::Place{self.noise, self.signing, static_cast<std::uint64_t>(row.integer(0)),
                                         static_cast<std::uint32_t>(row.integer(1))};
        },
        id, now));
    if (!place) {
        out.refusal = "This code is used up or over; ask the courier's keeper for a new one.";
        return out;
    }
    if (message.circle.is_zero()) {
        out.refusal = "That is no circle's id; nothing was registered.";
        return out;
    }
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db));
    TRY(const auto expected, access_of_place(db, message.circle));
    if (expected && !proven.contains({message.circle, *expected})) {
        out.refusal =
            "This circle has a place here already, and only a member who proves the circle's key takes it over. "
            "Nothing was changed; the courier's keeper can end that place.";
        return out;
    }
    // Whoever was away still comes back by the key that was expected before.
    TRY(
        db.run("INSERT OR IGNORE INTO courier_former (circle, access, number) SELECT circle, access, "
               "(SELECT coalesce(max(number), 0) + 1 FROM courier_former WHERE circle = ?1) FROM courier_place "
               "WHERE circle = ?1",
               message.circle));
    TRY(
        db.run("INSERT INTO courier_place (circle, access, registrar, quota, days, used, began, visited) "
               "VALUES (?1, ?2, ?3, ?4, ?5, 0, ?6, ?6) ON CONFLICT (circle) DO UPDATE SET access = excluded.access, "
               "registrar = excluded.registrar, quota = excluded.quota, days = excluded.days, visited = ?6",
               message.circle, message.access, message.registrar, place->quota_bytes, place->days, now));
    TRY(db.run("DELETE FROM courier_former WHERE circle = ?1 AND access = ?2", message.circle, message.access));
    TRY(db.run("DELETE FROM courier_code WHERE code = ?1", id));
    TRY(tx.commit());
    out.place = place;
    return out;
}

Result<std::vector<PlaceLine>> courier_places(sqlite::Database& db) {
    std::vector<PlaceLine> out;
    TRY(db.query(
        "SELECT place.circle, (SELECT coalesce(sum(next_seq), 0) FROM log WHERE log.circle = place.circle), "
        "used, quota, days, visited FROM courier_place AS place ORDER BY place.circle",
        [&](const sqlite::Row& row) {
            out.push_back({row.fixed<CircleId>(0), static_cast<std::uint64_t>(row.integer(1)),
                           static_cast<std::uint64_t>(row.integer(2)), static_cast<std::uint64_t>(row.integer(3)),
                           static_cast<std::uint32_t>(row.integer(4)), WallTime{row.integer(5)}});
        }));
    return out;
}

Result<void> remove_place(sqlite::Database& db, const CircleId& circle) {
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db));
    TRY(remove_within(db, circle));
    return tx.commit();
}

Result<void> count_places(sqlite::Database& db) {
    return db.run(
        "UPDATE courier_place SET used = (SELECT coalesce(sum(length(event.sealed) + ?1), 0) FROM event "
        "JOIN log USING (log_ref) WHERE log.circle = courier_place.circle) + (SELECT coalesce(sum(length(proof) + ?1), "
        "0) FROM fork_proof WHERE fork_proof.circle = courier_place.circle)",
        event_overhead_bytes);
}

Result<std::vector<CircleId>> remove_outdated(sqlite::Database& db, WallTime now) {
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db));
    std::vector<CircleId> gone;
    TRY(db.query(
        "SELECT circle FROM courier_place WHERE visited + days * ?2 < ?1",
        [&](const sqlite::Row& row) { gone.push_back(row.fixed<CircleId>(0)); }, now, day_ms));
    for (const CircleId& circle : gone) {
        TRY(remove_within(db, circle));
    }
    TRY(
        db.run("DELETE FROM courier_copy WHERE added + ?2 * (SELECT days FROM courier_place AS place "
               "WHERE place.circle = courier_copy.circle) < ?1",
               now, day_ms));
    TRY(db.run("DELETE FROM courier_code WHERE expires <= ?1", now));
    TRY(tx.commit());
    return gone;
}

Result<std::optional<CourierPlace>> DeskBook::find_place(const CircleId& circle) {
    std::optional<CourierPlace> out;
    TRY(db_.query(
        "SELECT access, registrar, used, days, quota FROM courier_place WHERE circle = ?1",
        [&](const sqlite::Row& row) {
            out.emplace();
            out->access = row.fixed<SignPublic>(0);
            out->registrar = row.fixed<SignPublic>(1);
            out->used_bytes = static_cast<std::uint64_t>(row.integer(2));
            out->days = static_cast<std::uint32_t>(row.integer(3));
            out->full = row.integer(2) >= row.integer(4);
        },
        circle));
    if (!out) return out;
    TRY(db_.query(
        "SELECT access FROM courier_former WHERE circle = ?1 ORDER BY number DESC",
        [&](const sqlite::Row& row) { out->former.push_back(row.fixed<SignPublic>(0)); }, circle));
    return out;
}

Result<void> DeskBook::note_visit(const CircleId& circle, WallTime now) {
    return db_.run("UPDATE courier_place SET visited = max(visited, ?2) WHERE circle = ?1", circle, now);
}

Result<void> DeskBook::renew(const CircleId& circle, const SignPublic& access) {
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db_));
    TRY(
        db_.run("INSERT OR REPLACE INTO courier_former (circle, access, number) SELECT circle, access, "
                "(SELECT coalesce(max(number), 0) + 1 FROM courier_former WHERE circle = ?1) FROM courier_place "
                "WHERE circle = ?1",
                circle));
    TRY(
        db_.run("DELETE FROM courier_former WHERE circle = ?1 AND (access = ?2 OR number <= (SELECT max(number) FROM "
                "courier_former WHERE circle = ?1) - ?3)",
                circle, access, limits::courier_former_max));
    TRY(db_.run("UPDATE courier_place SET access = ?2 WHERE circle = ?1", circle, access));
    return tx.commit();
}

Result<std::vector<KeyId>> DeskBook::kept_keys(const CircleId& circle) {
    std::vector<KeyId> out;
    TRY(db_.query(
        "SELECT key_id FROM courier_copy WHERE circle = ?1 GROUP BY key_id ORDER BY max(added) DESC, key_id LIMIT ?2",
        [&](const sqlite::Row& row) { out.push_back(row.fixed<KeyId>(0)); }, circle, limits::list_max));
    return out;
}

Result<std::optional<Wrap>> DeskBook::kept_copy(const CircleId& circle, const KeyId& key, const WrapTag& tag) {
    std::optional<Wrap> out;
    TRY(db_.query(
        "SELECT copy FROM courier_copy WHERE circle = ?1 AND key_id = ?2 AND tag = ?3",
        [&](const sqlite::Row& row) -> Result<void> {
            TRY(out, codec::decode<Wrap>(row.blob(0)));
            return ok();
        },
        circle, key, tag));
    return out;
}

// The first copy for a tag stays: a later one could only be meant to take its place with something that does not open.
Result<void> DeskBook::keep_copies(const CircleId& circle, const std::vector<WrapAnswerMessage::Copy>& copies,
                                   WallTime now) {
    return put_copies(
        "INSERT OR IGNORE INTO courier_copy (circle, key_id, tag, copy, added) VALUES (?1, ?2, ?3, ?4, ?5)", circle,
        copies, now);
}

Result<void> DeskBook::replace_copies(const CircleId& circle, const std::vector<WrapAnswerMessage::Copy>& copies,
                                      WallTime now) {
    return put_copies(
        "INSERT OR REPLACE INTO courier_copy (circle, key_id, tag, copy, added) VALUES (?1, ?2, ?3, ?4, ?5)", circle,
        copies, now);
}

Result<void> DeskBook::put_copies(std::string_view sql, const CircleId& circle,
                                  const std::vector<WrapAnswerMessage::Copy>& copies, WallTime now) {
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db_));
    for (const auto& copy : copies) {
        const Bytes encoded = codec::encode(copy.wrap);
        TRY(db_.run(sql, circle, copy.key, copy.wrap.tag, encoded, now));
    }
    // Beyond the bound the oldest go first.
    TRY(
        db_.run("DELETE FROM courier_copy WHERE circle = ?1 AND (key_id, tag) IN (SELECT key_id, tag FROM (SELECT "
                "key_id, tag, sum(length(copy)) OVER (ORDER BY added DESC, key_id, tag) AS upto FROM courier_copy "
                "WHERE circle = ?1) WHERE upto > ?2)",
                circle, limits::courier_wraps_bytes_max));
    return tx.commit();
}

}  // namespace ladderline::store
