#include "node/read_models/desk_model.hpp"

#include "protocol/event/bodies.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;

Result<void> DeskModel::reset(store::sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS practice;
        CREATE TABLE practice (
            id BLOB NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            pool TEXT NOT NULL, question TEXT NOT NULL, answer INTEGER NOT NULL, shown TEXT NOT NULL,
            place INTEGER NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (log_ref, seq)
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX practice_by_pool ON practice (circle, pool, at);
    )");
}

Result<void> DeskModel::apply(store::sqlite::Database& db, const store::OpenedEvent& event) {
    if (event.body.kind != kind::practice_answer) return ok();
    const auto b = read_payload<PracticeAnswerBody>(event.body.payload);
    if (!b) return ok();
    return db.run(
        "INSERT OR IGNORE INTO practice (id, log_ref, seq, circle, pool, question, answer, shown, place, at) "
        "VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10)",
        event.id, event.log_ref, event.seq, event.circle, b->pool, b->question, b->answer, b->shown, b->place, b->when);
}

}  // namespace ladderline::node
