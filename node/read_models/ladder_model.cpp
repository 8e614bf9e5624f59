#include "node/read_models/ladder_model.hpp"

#include "node/domain/ladder/record.hpp"
#include "protocol/circle/bodies.hpp"
#include "protocol/event/bodies.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::StatementKind;

struct Said {
    StatementKind kind;
    std::string item;
    std::uint8_t level = 0;
    Day day;
    std::string text;
    EventId about;
};

Result<void> write(store::sqlite::Database& db, const store::OpenedEvent& event, const Said& said) {
    return db.run(
        "INSERT OR IGNORE INTO statement (id, item, log_ref, seq, circle, kind, level, day, said, text, about, "
        "count) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12)",
        event.id, said.item, event.log_ref, event.seq, event.circle, said.kind, said.level, said.day,
        event.body.time.wall, said.text, said.about, event.body.time.count);
}

StatementKind kind_of(Aside what) {
    switch (what) {
        case Aside::skip:
            return StatementKind::skip;
        case Aside::rest:
            return StatementKind::rest;
        case Aside::reopen:
            return StatementKind::reopen;
    }
    return StatementKind::reopen;
}

}  // namespace

Result<void> LadderModel::reset(store::sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS statement;
        CREATE TABLE statement (
            id BLOB NOT NULL, item TEXT NOT NULL, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL,
            circle BLOB NOT NULL, kind INTEGER NOT NULL, level INTEGER NOT NULL, day INTEGER NOT NULL,
            said INTEGER NOT NULL, text TEXT NOT NULL, about BLOB NOT NULL, count INTEGER NOT NULL,
            PRIMARY KEY (circle, log_ref, seq, item)
        ) STRICT, WITHOUT ROWID;
    )");
}

Result<void> LadderModel::apply(store::sqlite::Database& db, const store::OpenedEvent& event) {
    const Bytes& payload = event.body.payload;
    switch (event.body.kind) {
        case kind::assign:
            if (const auto body = read_payload<AssignBody>(payload)) {
                for (const std::string& item : body->items) {
                    TRY(write(db, event, {StatementKind::assign, item, 0, utc_day(event.body.time.wall), {}, {}}));
                }
            }
            return ok();
        case kind::tick:
            if (const auto body = read_payload<TickBody>(payload)) {
                const auto what = body->undone ? StatementKind::untick : StatementKind::tick;
                return write(db, event, {what, body->item, 0, body->day, body->evidence, {}});
            }
            return ok();
        case kind::sign:
            if (const auto body = read_payload<SignBody>(payload)) {
                if (body->level > level_max) return ok();
                return write(db, event, {StatementKind::sign, body->item, body->level, body->day, body->witnessed, {}});
            }
            return ok();
        case kind::withdraw:
            if (const auto body = read_payload<WithdrawBody>(payload)) {
                return write(db, event,
                             {StatementKind::withdraw, body->item, 0, utc_day(event.body.time.wall), body->reason,
                              body->signature});
            }
            return ok();
        case kind::set_aside:
            if (const auto body = read_payload<SetAsideBody>(payload)) {
                return write(db, event, {kind_of(body->what), body->item, 0, body->day, {}, {}});
            }
            return ok();
        default:
            return ok();
    }
}

}  // namespace ladderline::node
