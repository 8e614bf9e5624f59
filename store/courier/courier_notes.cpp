#include "store/courier/courier_notes.hpp"

#include "store/circles/held_keys.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

// Columns: circle, courier, seed, access, address, stop.
Registrar registrar_in(const sqlite::Row& row) {
    Bytes seed = row.blob(2);
    Registrar out{{row.fixed<CircleId>(0), row.fixed<DhPublic>(1)},
                  sign_keys_from_seed(seed),
                  row.fixed<SignPublic>(3),
                  row.text(4),
                  row.integer(5) != 0};
    wipe(seed);
    return out;
}

}  // namespace

Result<void> keep_registrar(sqlite::Database& db, const AtCourier& at, ByteView seed, const SignPublic& access,
                            std::string_view address) {
    return db.run(
        "INSERT OR REPLACE INTO courier_registrar (circle, courier, seed, access, address, stop) "
        "VALUES (?1, ?2, ?3, ?4, ?5, 0)",
        at.circle, at.courier, seed, access, address);
}

Result<std::optional<Registrar>> registrar_of(sqlite::Database& db, const AtCourier& at) {
    std::optional<Registrar> out;
    TRY(db.query(
        "SELECT circle, courier, seed, access, address, stop FROM courier_registrar WHERE circle = ?1 AND courier = ?2",
        [&](const sqlite::Row& row) { out = registrar_in(row); }, at.circle, at.courier));
    return out;
}

Result<std::vector<Registrar>> registrars_to_stop(sqlite::Database& db) {
    std::vector<Registrar> out;
    TRY(db.query("SELECT circle, courier, seed, access, address, stop FROM courier_registrar WHERE stop <> 0",
                 [&](const sqlite::Row& row) { out.push_back(registrar_in(row)); }));
    return out;
}

Result<void> note_renewal(sqlite::Database& db, const AtCourier& at, const SignPublic& access) {
    return db.run("UPDATE courier_registrar SET access = ?3 WHERE circle = ?1 AND courier = ?2", at.circle, at.courier,
                  access);
}

Result<void> want_stop(sqlite::Database& db, const AtCourier& at) {
    return db.run("UPDATE courier_registrar SET stop = 1 WHERE circle = ?1 AND courier = ?2", at.circle, at.courier);
}

Result<void> forget_courier(sqlite::Database& db, const AtCourier& at) {
    constexpr std::string_view steps[] = {
        "DELETE FROM courier_registrar WHERE circle = ?1 AND courier = ?2",
        "DELETE FROM courier_visit WHERE circle = ?1 AND courier = ?2",
        "DELETE FROM courier_receipt WHERE circle = ?1 AND courier = ?2",
        "DELETE FROM courier_left WHERE circle = ?1 AND courier = ?2",
    };
    for (const std::string_view step : steps) {
        TRY(db.run(step, at.circle, at.courier));
    }
    return ok();
}

Result<std::vector<WrapAnswerMessage::Copy>> copies_to_leave(sqlite::Database& db, const AtCourier& at) {
    std::vector<WrapAnswerMessage::Copy> out;
    TRY(db.query(
        "SELECT key_id, copy FROM wrap WHERE circle = ?1 AND NOT EXISTS (SELECT 1 FROM courier_left AS left_there "
        "WHERE left_there.circle = wrap.circle AND left_there.courier = ?2 AND left_there.key_id = wrap.key_id) "
        "ORDER BY key_id, tag",
        [&](const sqlite::Row& row) -> Result<void> {
            WrapAnswerMessage::Copy copy{row.fixed<KeyId>(0), {}};
            TRY(copy.wrap, codec::decode<Wrap>(row.blob(1)));
            out.push_back(std::move(copy));
            return ok();
        },
        at.circle, at.courier));
    return out;
}

Result<void> note_left(sqlite::Database& db, const AtCourier& at, const std::vector<WrapAnswerMessage::Copy>& copies) {
    std::set<KeyId> keys;
    for (const auto& copy : copies) keys.insert(copy.key);
    for (const KeyId& key : keys) {
        TRY(db.run("INSERT OR IGNORE INTO courier_left (circle, courier, key_id) VALUES (?1, ?2, ?3)", at.circle,
                   at.courier, key));
    }
    return ok();
}

Result<void> forget_what_was_left(sqlite::Database& db, const AtCourier& at) {
    TRY(db.run("DELETE FROM courier_left WHERE circle = ?1 AND courier = ?2", at.circle, at.courier));
    return db.run("UPDATE courier_receipt SET covered = 0 WHERE circle = ?1 AND courier = ?2", at.circle, at.courier);
}

Result<std::optional<KeptReceipt>> receipt_of(sqlite::Database& db, const AtCourier& at) {
    std::optional<KeptReceipt> out;
    TRY(db.query(
        "SELECT receipt, covered FROM courier_receipt WHERE circle = ?1 AND courier = ?2",
        [&](const sqlite::Row& row) -> Result<void> {
            TRY(const Receipt receipt, codec::decode<Receipt>(row.blob(0)));
            out = KeptReceipt{receipt, static_cast<std::uint64_t>(row.integer(1))};
            return ok();
        },
        at.circle, at.courier));
    return out;
}

Result<void> keep_receipt(sqlite::Database& db, const AtCourier& at, const Receipt& receipt,
                          std::optional<std::uint64_t> covered) {
    const Bytes encoded = codec::encode(receipt);
    return db.run(
        "INSERT INTO courier_receipt (circle, courier, receipt, covered) VALUES (?1, ?2, ?3, coalesce(?4, 0)) "
        "ON CONFLICT (circle, courier) DO UPDATE SET receipt = excluded.receipt, covered = coalesce(?4, covered)",
        at.circle, at.courier, encoded, covered);
}

Result<std::uint64_t> events_beyond(sqlite::Database& db, const CircleId& circle, std::uint64_t covered, bool own) {
    std::uint64_t out = 0;
    TRY(db.query(
        "SELECT count(*) FROM event JOIN log USING (log_ref) WHERE log.circle = ?1 AND log.arrival > ?2 "
        "AND event.arrival > ?2 AND (log.mine = 1 OR ?3 = 0)",
        [&](const sqlite::Row& row) { out = static_cast<std::uint64_t>(row.integer(0)); }, circle, covered, own));
    return out;
}

Result<VisitNote> visit_note(sqlite::Database& db, const AtCourier& at) {
    VisitNote out;
    TRY(db.query(
        "SELECT last_ok, note, full, used, lacked FROM courier_visit WHERE circle = ?1 AND courier = ?2",
        [&](const sqlite::Row& row) {
            if (!row.is_null(0)) out.last_ok = WallTime{row.integer(0)};
            out.note = row.text(1);
            out.full = row.integer(2) != 0;
            out.used_bytes = static_cast<std::uint64_t>(row.integer(3));
            out.lacked = static_cast<std::uint64_t>(row.integer(4));
        },
        at.circle, at.courier));
    return out;
}

Result<void> note_visit(sqlite::Database& db, const AtCourier& at, const VisitNote& note) {
    return db.run(
        "INSERT INTO courier_visit (circle, courier, last_ok, note, full, used, lacked) "
        "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7) ON CONFLICT (circle, courier) DO UPDATE SET "
        "last_ok = coalesce(excluded.last_ok, last_ok), note = excluded.note, full = excluded.full, "
        "used = excluded.used, lacked = excluded.lacked",
        at.circle, at.courier, note.last_ok, note.note, note.full, note.used_bytes, note.lacked);
}

Result<std::vector<AeadKey>> visiting_keys(sqlite::Database& db, EventLog& log, const CircleId& circle) {
    std::vector<AeadKey> out;
    TRY(AeadKey current, log.current_key(circle));
    TRY(auto all, held_keys(db, circle, limits::epoch_keys_max));
    out.push_back(current.clone());
    for (AeadKey& key : all) {
        if (!equal_secret(key.view(), current.view())) out.push_back(std::move(key));
    }
    return out;
}

Result<Run> VisitView::read_run(const CircleId& circle, const LogId& log, std::uint64_t first_seq) {
    TRY(Run run, ForwardedLog::read_run(circle, log, first_seq));
    TRY(db_.query(
        "SELECT count(*) FROM event JOIN log USING (log_ref) WHERE log.circle = ?1 AND log.log = ?2 "
        "AND event.seq >= ?3 AND event.seq < ?4 AND event.arrival <= ?5",
        [&](const sqlite::Row& row) { lacked_ += static_cast<std::uint64_t>(row.integer(0)); }, circle, log, first_seq,
        first_seq + run.events.size(), covered_));
    return run;
}

}  // namespace ladderline::store
