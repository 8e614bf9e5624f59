#pragma once
// Mistakes planted on purpose, for the canary alone: a network with one of them must be found out.

#include "protocol/sync/forwarded_log.hpp"
#include "store/event_log/event_log.hpp"
#include "tests/simulation/node.hpp"

namespace ladderline::simulation {

// The production log behind a door that lies in one way.
class FaultyView : public protocol::ForwardedLog {
public:
    explicit FaultyView(store::EventLog& log) : ForwardedLog(log) {}

    // Says of every fifth log that all of it is known, and forgets it.
    Result<std::vector<protocol::Appended>> append_runs(const protocol::CircleId& circle,
                                                        const std::vector<protocol::Run>& runs) override {
        std::vector<protocol::Appended> out(runs.size(), protocol::Appended::known);
        for (std::size_t i = 0; i < runs.size(); ++i) {
            if (runs[i].log.data[0] % 5 == 0) continue;
            TRY(out[i], append_run(circle, runs[i]));
        }
        return out;
    }
};

// Counts what came before an event, whoever's it was: another order of arrival gives other rows.
class OrderDependentModel : public store::ReadModel {
public:
    std::string name() const override { return "planted"; }
    std::int64_t version() const override { return 1; }
    std::vector<std::string> tables() const override { return {"planted"}; }
    Result<void> reset(store::sqlite::Database& db) override {
        return db.execute(R"(
            DROP TABLE IF EXISTS planted;
            CREATE TABLE planted (
                id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, before INTEGER NOT NULL
            ) STRICT, WITHOUT ROWID;
        )");
    }
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override {
        return db.run(
            "INSERT OR IGNORE INTO planted (id, log_ref, seq, before) VALUES (?1, ?2, ?3, (SELECT count(*) FROM "
            "planted))",
            event.id, event.log_ref, event.seq);
    }
};

// Asks the local clock what to think of an event: nodes whose clocks differ come to differ.
class ClockModel : public store::ReadModel {
public:
    explicit ClockModel(const WallTime& now) : now_(now) {}

    std::string name() const override { return "planted"; }
    std::int64_t version() const override { return 1; }
    std::vector<std::string> tables() const override { return {"planted"}; }
    Result<void> reset(store::sqlite::Database& db) override {
        return db.execute(R"(
            DROP TABLE IF EXISTS planted;
            CREATE TABLE planted (
                id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, late INTEGER NOT NULL
            ) STRICT, WITHOUT ROWID;
        )");
    }
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override {
        return db.run("INSERT OR IGNORE INTO planted (id, log_ref, seq, late) VALUES (?1, ?2, ?3, ?4)", event.id,
                      event.log_ref, event.seq, event.body.time.wall > now_);
    }

private:
    const WallTime& now_;
};

}  // namespace ladderline::simulation
