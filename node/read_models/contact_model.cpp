#include "node/read_models/contact_model.hpp"

#include "protocol/event/bodies.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;

namespace {

// Whether the author of the contact said it is judged when it is read, whichever of the two events came first.
Result<void> add_change(store::sqlite::Database& db, const store::OpenedEvent& event, const EventId& contact) {
    return db.run(
        "INSERT OR IGNORE INTO contact_change (id, log_ref, seq, circle, contact, said, count, struck, payload) "
        "VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9)",
        event.id, event.log_ref, event.seq, event.circle, contact, event.body.time.wall, event.body.time.count,
        event.body.kind == kind::strike_contact ? 1 : 0, ByteView(event.body.payload));
}

}  // namespace

Result<void> ContactModel::reset(store::sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS contact;
        DROP TABLE IF EXISTS contact_change;
        DROP TABLE IF EXISTS meeting;
        DROP TABLE IF EXISTS meeting_outcome;
        CREATE TABLE contact (
            id BLOB NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            start INTEGER NOT NULL, worked TEXT NOT NULL, station TEXT NOT NULL, operated_by TEXT NOT NULL,
            frequency TEXT NOT NULL, band TEXT NOT NULL, mode TEXT NOT NULL, sent TEXT NOT NULL,
            received TEXT NOT NULL, locator TEXT NOT NULL, comment TEXT NOT NULL, said INTEGER NOT NULL,
            PRIMARY KEY (circle, log_ref, seq)
        ) STRICT, WITHOUT ROWID;
        CREATE TABLE contact_change (
            id BLOB NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            contact BLOB NOT NULL, said INTEGER NOT NULL, count INTEGER NOT NULL, struck INTEGER NOT NULL,
            payload BLOB NOT NULL, PRIMARY KEY (circle, log_ref, seq)
        ) STRICT, WITHOUT ROWID;
        CREATE TABLE meeting (
            id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            start INTEGER NOT NULL, other BLOB NOT NULL, first TEXT NOT NULL, second TEXT NOT NULL,
            mode TEXT NOT NULL, fallback TEXT NOT NULL, words TEXT NOT NULL
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX meeting_by_circle ON meeting (circle, start);
        CREATE TABLE meeting_outcome (
            id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, meeting BLOB NOT NULL,
            outcome INTEGER NOT NULL, said INTEGER NOT NULL, count INTEGER NOT NULL
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX meeting_outcome_by_meeting ON meeting_outcome (meeting);
    )");
}

Result<void> ContactModel::apply(store::sqlite::Database& db, const store::OpenedEvent& event) {
    const Bytes& payload = event.body.payload;
    switch (event.body.kind) {
        case kind::contact:
            if (const auto b = read_payload<ContactBody>(payload)) {
                return db.run(
                    "INSERT OR IGNORE INTO contact (id, log_ref, seq, circle, start, worked, station, operated_by, "
                    "frequency, band, mode, sent, received, locator, comment, said) "
                    "VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14,?15,?16)",
                    event.id, event.log_ref, event.seq, event.circle, b->start, b->worked, b->station, b->operated_by,
                    b->frequency, b->band, b->mode, b->sent, b->received, b->locator, b->comment, event.body.time.wall);
            }
            return ok();
        case kind::amend_contact:
            if (const auto b = read_payload<AmendContactBody>(payload)) return add_change(db, event, b->contact);
            return ok();
        case kind::strike_contact:
            if (const auto b = read_payload<StrikeContactBody>(payload)) return add_change(db, event, b->contact);
            return ok();
        case kind::meet:
            if (const auto b = read_payload<MeetBody>(payload)) {
                return db.run(
                    "INSERT OR IGNORE INTO meeting (id, log_ref, seq, circle, start, other, first, second, mode, "
                    "fallback, words) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11)",
                    event.id, event.log_ref, event.seq, event.circle, b->start, b->other, b->first_frequency,
                    b->second_frequency, b->mode, b->fallback, b->words);
            }
            return ok();
        case kind::meet_outcome:
            if (const auto b = read_payload<MeetOutcomeBody>(payload)) {
                return db.run(
                    "INSERT OR IGNORE INTO meeting_outcome (id, log_ref, seq, meeting, outcome, said, count) "
                    "VALUES (?1,?2,?3,?4,?5,?6,?7)",
                    event.id, event.log_ref, event.seq, b->meeting, b->outcome, event.body.time.wall,
                    event.body.time.count);
            }
            return ok();
        default:
            return ok();
    }
}

}  // namespace ladderline::node
