#pragma once
// One node's store in memory: the event log over an empty database, with the circle model and any others.

#include "embedded/migrations.hpp"
#include "store/circles/circle_model.hpp"
#include "store/event_log/event_log.hpp"
#include "tests/support/protocol/person.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

inline store::sqlite::Database empty_store() {
    auto db = store::sqlite::Database::in_memory();
    ENSURE(db.has_value());
    for (const auto& file : embedded::migrations::all) ENSURE(db.value().execute(file.text).has_value());
    return std::move(db).value();
}

// Not movable: the log refers to its neighbours.
struct EventLogNode {
    explicit EventLogNode(std::uint64_t seed, std::vector<store::ReadModel*> others = {})
        : random(seed), db(empty_store()), log(db, random, with_circles(std::move(others))) {
        ENSURE(log.prepare().has_value());
    }
    EventLogNode(const EventLogNode&) = delete;

    void act_as(const Person& person) { log.act_as({person.device_id(), person.device.secret.clone()}); }

    protocol::CircleId found(const Person& person, protocol::CircleKind kind, protocol::MemberRole role) {
        act_as(person);
        const protocol::FoundBody body{kind, "circle", role, 4, person.name, false, person.certificate()};
        auto tx = store::sqlite::Transaction::begin(db);
        ENSURE(tx.has_value());
        const auto circle = log.found_within(protocol::codec::encode(body), now);
        ENSURE(circle.has_value() && tx.value().commit().has_value());
        return circle.value();
    }

    std::int64_t count(std::string_view sql) {
        std::int64_t out = -1;
        ENSURE(db.query(sql, [&](const store::sqlite::Row& row) { out = row.integer(0); }).has_value());
        return out;
    }

    SeededRandom random;
    store::sqlite::Database db;
    store::CircleModel circles;
    store::EventLog log;
    WallTime now{1'700'000'000'000};

private:
    std::vector<store::ReadModel*> with_circles(std::vector<store::ReadModel*> others) {
        others.insert(others.begin(), &circles);
        return others;
    }
};

// Everything that `from` holds of the circle, run by run.
inline void carry(EventLogNode& from, EventLogNode& to, const protocol::CircleId& circle) {
    const auto heads = from.log.heads(circle);
    ENSURE(heads.has_value());
    for (const protocol::LogHead& head : heads.value()) {
        auto next = to.log.next_seq(circle, head.log);
        ENSURE(next.has_value());
        while (next.value() < head.next_seq) {
            const auto run = from.log.read_run(circle, head.log, next.value());
            ENSURE(run.has_value());
            ENSURE(to.log.append_run(circle, run.value()).value() == protocol::Appended::stored);
            next = to.log.next_seq(circle, head.log);
        }
    }
}

}  // namespace ladderline::test
