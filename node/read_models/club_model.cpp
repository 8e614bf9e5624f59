#include "node/read_models/club_model.hpp"

#include "protocol/event/bodies.hpp"
#include "protocol/event/checked_body.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/station_bodies.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {

using namespace protocol;

Result<void> ClubModel::reset(store::sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS shown;
        DROP TABLE IF EXISTS pairing;
        DROP TABLE IF EXISTS touch;
        CREATE TABLE shown (
            id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            kind INTEGER NOT NULL, said INTEGER NOT NULL, count INTEGER NOT NULL, payload BLOB NOT NULL
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX shown_by_kind ON shown (circle, kind, log_ref, said, count);
        CREATE TABLE pairing (
            id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            newcomer BLOB NOT NULL, mentor BLOB NOT NULL, step INTEGER NOT NULL, day INTEGER NOT NULL,
            said INTEGER NOT NULL, count INTEGER NOT NULL
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX pairing_by_pair ON pairing (circle, newcomer, mentor);
        CREATE TABLE touch (
            id BLOB NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            day INTEGER NOT NULL, PRIMARY KEY (circle, log_ref, seq)
        ) STRICT, WITHOUT ROWID;
    )");
}

Result<void> ClubModel::apply(store::sqlite::Database& db, const store::OpenedEvent& event) {
    const Body& body = event.body;
    switch (body.kind) {
        case kind::card:
            if (!read_payload<CardBody>(body.payload)) return ok();
            break;
        case kind::club_row:
            if (!read_payload<ClubRowBody>(body.payload)) return ok();
            break;
        case kind::ask:
            if (!read_payload<AskBody>(body.payload)) return ok();
            break;
        case kind::known_date:
            if (!read_payload<KnownDateBody>(body.payload)) return ok();
            break;
        case kind::study_share:
            if (!read_payload<StudyShareBody>(body.payload)) return ok();
            break;
        case kind::exam_try:
            if (!read_payload<ExamTryBody>(body.payload)) return ok();
            break;
        case kind::station:
            if (!read_payload<StationBody>(body.payload)) return ok();
            break;
        case kind::checked_on:
            if (!read_payload<CheckedBody>(body.payload)) return ok();
            break;
        case kind::touch:
            if (const auto touch = read_payload<TouchBody>(body.payload)) {
                return db.run("INSERT OR IGNORE INTO touch (id, log_ref, seq, circle, day) VALUES (?1,?2,?3,?4,?5)",
                              event.id, event.log_ref, event.seq, event.circle, touch->day);
            }
            return ok();
        case kind::pairing:
            if (const auto p = read_payload<PairingBody>(body.payload)) {
                return db.run(
                    "INSERT OR IGNORE INTO pairing (id, log_ref, seq, circle, newcomer, mentor, step, day, said, "
                    "count) "
                    "VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10)",
                    event.id, event.log_ref, event.seq, event.circle, p->newcomer, p->mentor, p->step, p->day,
                    body.time.wall, body.time.count);
            }
            return ok();
        default:
            return ok();
    }
    return db.run(
        "INSERT OR IGNORE INTO shown (id, log_ref, seq, circle, kind, said, count, payload) "
        "VALUES (?1,?2,?3,?4,?5,?6,?7,?8)",
        event.id, event.log_ref, event.seq, event.circle, body.kind, body.time.wall, body.time.count, body.payload);
}

}  // namespace ladderline::node
