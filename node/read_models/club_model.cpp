#include "node/read_models/club_model.hpp"

#include <algorithm>

#include "node/read_models/row_looks.hpp"
#include "protocol/event/bodies.hpp"
#include "protocol/event/checked_body.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/pairing_bodies.hpp"
#include "protocol/event/station_bodies.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {

using namespace protocol;

namespace {

// What stands in shown_latest for one log and kind.
struct Latest {
    std::int64_t seq_first = 0;
    WallTime said_first;
    std::int64_t seq = 0;
    EventId id;
    HybridTime time;
    Bytes payload;
    bool is_plain = true;
    RowStory story;
    // Of periods that are over since these writes were looked at, with the number of the row that stood then.
    struct Look {
        std::int32_t period = 0;
        std::int64_t seq = 0;
        RowLook look;
    };
    std::vector<Look> looks = {};
};

// Periods that end with the latest row, before one of `day` is added. Of a long silence those that a year asks for.
void keep_looks(Latest& to, Day day) {
    const auto row = read_payload<ClubRowBody>(to.payload);
    const std::int32_t next = look_period_of(day);
    std::int32_t period = std::max(look_period_of(utc_day(to.time.wall)), next - looks_a_year);
    for (; row && period < next; ++period) to.looks.push_back({period, to.seq, look_at(to.story, *row)});
}

void add_write(Latest& to, std::uint16_t kind, std::int64_t seq, const EventId& id, const HybridTime& time,
               const Bytes& payload) {
    const bool is_first = to.payload.empty();
    if (is_first) {
        to.seq_first = seq;
        to.said_first = time.wall;
    }
    to.is_plain = to.is_plain && (is_first || to.time < time);
    if (kind == kind::club_row && to.is_plain && !is_first) keep_looks(to, utc_day(time.wall));
    to.seq = seq;
    to.id = id;
    to.time = time;
    to.payload = payload;
    if (kind != kind::club_row || !to.is_plain) return;
    const auto row = read_payload<ClubRowBody>(payload);
    to.is_plain = row && to.story.add(time.wall, *row);
}

Result<std::optional<Latest>> latest_of(store::sqlite::Database& db, const store::OpenedEvent& event) {
    std::optional<Latest> out;
    TRY(db.query(
        "SELECT seq_first, said_first, seq, id, said, count, payload, plain, story FROM shown_latest "
        "WHERE circle = ?1 AND kind = ?2 AND log_ref = ?3",
        [&](const store::sqlite::Row& row) {
            const HybridTime time{WallTime{row.integer(4)}, static_cast<std::uint32_t>(row.integer(5))};
            out = Latest{row.integer(0),
                         WallTime{row.integer(1)},
                         row.integer(2),
                         row.fixed<EventId>(3),
                         time,
                         row.blob(6),
                         row.integer(7) != 0,
                         {}};
            if (auto story = read_payload<RowStory>(row.blob(8))) out->story = std::move(*story);
        },
        event.circle, event.body.kind, event.log_ref));
    return out;
}

// All of one log anew: what was sealed until now can come after what was said later.
Result<Latest> latest_anew(store::sqlite::Database& db, const store::OpenedEvent& event) {
    Latest out;
    TRY(db.query(
        "SELECT seq, id, said, count, payload FROM shown WHERE circle = ?1 AND kind = ?2 AND log_ref = ?3 ORDER BY seq",
        [&](const store::sqlite::Row& row) {
            const HybridTime time{WallTime{row.integer(2)}, static_cast<std::uint32_t>(row.integer(3))};
            add_write(out, event.body.kind, row.integer(0), row.fixed<EventId>(1), time, row.blob(4));
        },
        event.circle, event.body.kind, event.log_ref));
    return out;
}

// None of a log that is not plain: its rows are read one by one.
Result<void> write_looks(store::sqlite::Database& db, std::int64_t log_ref, const Latest& now, bool is_anew) {
    if (is_anew || !now.is_plain) {
        TRY(db.run("DELETE FROM row_look WHERE log_ref = ?1", log_ref));
    }
    if (!now.is_plain) return ok();
    for (const Latest::Look& one : now.looks) {
        TRY(db.run("INSERT OR REPLACE INTO row_look (log_ref, period, seq_first, seq, look) VALUES (?1,?2,?3,?4,?5)",
                   log_ref, one.period, now.seq_first, one.seq, codec::encode(one.look)));
    }
    return ok();
}

Result<void> note_latest(store::sqlite::Database& db, const store::OpenedEvent& event) {
    const Body& body = event.body;
    const auto seq = static_cast<std::int64_t>(event.seq);
    TRY(auto before, latest_of(db, event));
    Latest now;
    const bool is_anew = before && before->seq >= seq;
    if (is_anew) {
        TRY(now, latest_anew(db, event));
    } else {
        if (before) now = std::move(*before);
        add_write(now, body.kind, seq, event.id, body.time, body.payload);
    }
    if (body.kind == kind::club_row) {
        TRY(write_looks(db, event.log_ref, now, is_anew));
    }
    const bool has_story = body.kind == kind::club_row && now.is_plain;
    return db.run(
        "INSERT OR REPLACE INTO shown_latest (circle, kind, log_ref, seq_first, said_first, seq, id, said, count, "
        "payload, plain, story) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12)",
        event.circle, body.kind, event.log_ref, now.seq_first, now.said_first, now.seq, now.id, now.time.wall,
        now.time.count, now.payload, now.is_plain, has_story ? codec::encode(now.story) : Bytes());
}

}  // namespace

Result<void> ClubModel::reset(store::sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS shown;
        DROP TABLE IF EXISTS shown_latest;
        DROP TABLE IF EXISTS row_look;
        DROP TABLE IF EXISTS pairing;
        DROP TABLE IF EXISTS touch;
        CREATE TABLE shown (
            circle BLOB NOT NULL, kind INTEGER NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL,
            id BLOB NOT NULL, said INTEGER NOT NULL, count INTEGER NOT NULL, payload BLOB NOT NULL,
            PRIMARY KEY (circle, kind, log_ref, seq)
        ) STRICT, WITHOUT ROWID;
        CREATE TABLE shown_latest (
            circle BLOB NOT NULL, kind INTEGER NOT NULL, log_ref INTEGER NOT NULL, seq_first INTEGER NOT NULL,
            said_first INTEGER NOT NULL, seq INTEGER NOT NULL, id BLOB NOT NULL, said INTEGER NOT NULL,
            count INTEGER NOT NULL, payload BLOB NOT NULL, plain INTEGER NOT NULL, story BLOB NOT NULL,
            PRIMARY KEY (circle, kind, log_ref)
        ) STRICT, WITHOUT ROWID;
        CREATE TABLE row_look (
            log_ref INTEGER NOT NULL, period INTEGER NOT NULL, seq_first INTEGER NOT NULL, seq INTEGER NOT NULL,
            look BLOB NOT NULL, PRIMARY KEY (log_ref, period)
        ) STRICT, WITHOUT ROWID;
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
        case kind::pairing_wish:
            if (!read_payload<PairingWishBody>(body.payload)) return ok();
            break;
        case kind::pairing_review:
            if (!read_payload<PairingReviewBody>(body.payload)) return ok();
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
    TRY(db.run(
        "INSERT OR IGNORE INTO shown (circle, kind, log_ref, seq, id, said, count, payload) "
        "VALUES (?1,?2,?3,?4,?5,?6,?7,?8)",
        event.circle, body.kind, event.log_ref, event.seq, event.id, body.time.wall, body.time.count, body.payload));
    return note_latest(db, event);
}

}  // namespace ladderline::node
