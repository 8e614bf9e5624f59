#include "node/read_models/desk_model.hpp"

#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {

using namespace protocol;

namespace {

Result<void> put_answer(store::sqlite::Database& db, const store::OpenedEvent& event, int part,
                        const PracticeAnswerBody& b) {
    return db.run(
        "INSERT OR IGNORE INTO practice (id, log_ref, seq, part, circle, pool, question, answer, shown, place, at) "
        "VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11)",
        event.id, event.log_ref, event.seq, part, event.circle, b.pool, b.question, b.answer, b.shown, b.place, b.when);
}

Result<void> put_mock(store::sqlite::Database& db, const store::OpenedEvent& event, const MockResultBody& b) {
    TRY(
        db.run("INSERT OR IGNORE INTO mock (id, log_ref, seq, circle, pool, paper, at, minutes, mark, pass_ppm, "
               "points_hundredths, points_low, points_high) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13)",
               event.id, event.log_ref, event.seq, event.circle, b.pool, b.paper, b.when, b.minutes, b.mark,
               b.foretold.pass_ppm, b.foretold.points_hundredths, b.foretold.points_low, b.foretold.points_high));
    int part = 0;
    for (const MockAnswer& one : b.answers) {
        TRY(put_answer(db, event, ++part, {b.pool, one.question, one.answer, one.shown, one.place, b.when}));
    }
    return ok();
}

Result<void> put_explanation(store::sqlite::Database& db, const store::OpenedEvent& event, const ExplanationBody& b) {
    return db.run(
        "INSERT OR IGNORE INTO explanation (id, log_ref, seq, circle, pool, question, text, said, count) "
        "VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9)",
        event.id, event.log_ref, event.seq, event.circle, b.pool, b.question, b.text, event.body.time.wall,
        event.body.time.count);
}

}  // namespace

Result<void> DeskModel::reset(store::sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS practice;
        DROP TABLE IF EXISTS mock;
        DROP TABLE IF EXISTS explanation;
        CREATE TABLE practice (
            id BLOB NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, part INTEGER NOT NULL,
            circle BLOB NOT NULL, pool TEXT NOT NULL, question TEXT NOT NULL, answer INTEGER NOT NULL,
            shown TEXT NOT NULL, place INTEGER NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (log_ref, seq, part)
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX practice_by_pool ON practice (circle, pool, at);
        CREATE TABLE mock (
            id BLOB NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            pool TEXT NOT NULL, paper TEXT NOT NULL, at INTEGER NOT NULL, minutes INTEGER, mark INTEGER NOT NULL,
            pass_ppm INTEGER NOT NULL, points_hundredths INTEGER NOT NULL, points_low INTEGER NOT NULL,
            points_high INTEGER NOT NULL, PRIMARY KEY (log_ref, seq)
        ) STRICT, WITHOUT ROWID;
        CREATE TABLE explanation (
            id BLOB NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            pool TEXT NOT NULL, question TEXT NOT NULL, text TEXT NOT NULL, said INTEGER NOT NULL,
            count INTEGER NOT NULL, PRIMARY KEY (log_ref, seq)
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX explanation_by_question ON explanation (pool, question);
    )");
}

Result<void> DeskModel::apply(store::sqlite::Database& db, const store::OpenedEvent& event) {
    const Bytes& payload = event.body.payload;
    switch (event.body.kind) {
        case kind::practice_answer:
            if (const auto b = read_payload<PracticeAnswerBody>(payload)) return put_answer(db, event, 0, *b);
            return ok();
        case kind::mock_result:
            if (const auto b = read_payload<MockResultBody>(payload)) return put_mock(db, event, *b);
            return ok();
        case kind::explanation:
            if (const auto b = read_payload<ExplanationBody>(payload)) return put_explanation(db, event, *b);
            return ok();
        default:
            return ok();
    }
}

}  // namespace ladderline::node
