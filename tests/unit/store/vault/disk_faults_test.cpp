// One short script of a store's life, with the disk failing at each of its calls in turn, and with the power cut at any
// moment.

#include <doctest/doctest.h>

#include <cstdlib>

#include "store/sqlite/transaction.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;

namespace {

constexpr int steps = 9;
constexpr int rows_per_step = 3;

struct Progress {
    bool made = false;     // the table's creation was acknowledged
    int acknowledged = 0;  // steps whose commit was
    std::optional<Error> error;
};

// One step: three rows of about a page each, all or none.
Result<void> one_step(sqlite::Database& database, int step) {
    TRY(sqlite::Transaction transaction, sqlite::Transaction::begin(database));
    for (int i = 0; i < rows_per_step; ++i) {
        TRY(database.run("INSERT INTO t(step, v) VALUES (?1, ?2)", step, Bytes(3000, static_cast<std::uint8_t>(step))));
    }
    return transaction.commit();
}

Result<void> script(VaultBox& box, Progress& progress) {
    for (int part = 0; part < 3; ++part) {
        TRY(sqlite::Database database, box.open(true));
        if (part == 0) {
            TRY(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, step INTEGER, v BLOB) STRICT"));
            progress.made = true;
        }
        for (int i = 0; i < 3; ++i) {
            TRY(one_step(database, progress.acknowledged + 1));
            ++progress.acknowledged;
            // A new log begins behind the second.
            if (i == 1) {
                TRY(database.execute("PRAGMA wal_checkpoint(RESTART)"));
            }
        }
    }
    return ok();
}

Progress run_script(VaultBox& box) {
    Progress progress;
    Result<void> outcome = script(box, progress);
    if (!outcome) progress.error = std::move(outcome).error();
    return progress;
}

// The store opens, every acknowledged step is there whole, at most the one under way besides, nothing in parts.
void check_nothing_lost(VaultBox& box, const Progress& progress) {
    auto opened = box.open();
    if (!opened && !progress.made) {
        CHECK(opened.error().fault() == Fault::not_found);
        return;
    }
    if (!opened) FAIL(opened.error().sentence());
    sqlite::Database& database = opened.value();
    CHECK(test::text(database, "PRAGMA integrity_check") == "ok");
    const bool has_table = number(database, "SELECT count(*) FROM sqlite_schema") == 1;
    if (!has_table) {
        CHECK_FALSE(progress.made);
        return;
    }
    const std::int64_t rows = number(database, "SELECT count(*) FROM t");
    CHECK(rows >= progress.acknowledged * rows_per_step);
    CHECK(rows <= (progress.acknowledged + 1) * rows_per_step);
    CHECK(number(database, "SELECT count(*) FROM (SELECT step FROM t GROUP BY step HAVING count(*) <> 3)") == 0);
}

std::int64_t calls_of_script() {
    VaultBox box;
    box.memory.arm(DiskFault::none, 0, false);
    const Progress progress = run_script(box);
    REQUIRE_FALSE(progress.error.has_value());
    REQUIRE(progress.acknowledged == steps);
    return box.memory.calls();
}

std::int64_t from_environment(const char* name, std::int64_t otherwise) {
    const char* value = std::getenv(name);
    return value == nullptr ? otherwise : std::atoll(value);
}

}  // namespace

TEST_CASE("a disk that fails at any call loses nothing that was acknowledged") {
    const std::int64_t calls = calls_of_script();
    CHECK(calls > 80);
    struct Case {
        DiskFault fault;
        bool lasting;
    };
    for (const Case c : {Case{DiskFault::full, true}, Case{DiskFault::full, false}, Case{DiskFault::io_error, true},
                         Case{DiskFault::io_error, false}}) {
        CAPTURE(c.lasting);
        for (std::int64_t at = 1; at <= calls; ++at) {
            CAPTURE(at);
            VaultBox box;
            box.memory.arm(c.fault, at, c.lasting);
            const Progress progress = run_script(box);
            box.memory.disarm();
            if (progress.error) CHECK((progress.error->fault() == Fault::disk));
            check_nothing_lost(box, progress);
        }
    }
}

TEST_CASE("a full disk is said as such, and the same connection goes on once there is room") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, step INTEGER, v BLOB) STRICT"));
    must(one_step(database, 1));
    box.memory.arm(DiskFault::full, 1, true);
    const Result<void> outcome = one_step(database, 2);
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::disk);
    CHECK(outcome.error().sentence() ==
          "The disk is full: nothing of this step was stored; free some space and try again.");
    box.memory.disarm();
    must(one_step(database, 3));
    Files crashed = box.memory.files();
    VaultBox again(crashed);
    sqlite::Database reopened = again.must_open();
    CHECK(test::text(reopened, "SELECT group_concat(DISTINCT step) FROM t") == "1,3");
}

TEST_CASE("after a failed call the same connection goes on, and a later crash keeps what it acknowledged") {
    for (std::int64_t at = 1; at <= 12; ++at) {
        CAPTURE(at);
        VaultBox box;
        Progress progress{true, 0, {}};
        {
            sqlite::Database database = box.must_open(true);
            must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, step INTEGER, v BLOB) STRICT"));
            must(one_step(database, 1));
            box.memory.arm(DiskFault::io_error, at, false);
            int stored = 1;
            for (int step = 2; step <= 5; ++step) stored += one_step(database, step) ? 1 : 0;
            const bool must_stop = box.memory.sync_failed();
            box.memory.disarm();
            CHECK(one_step(database, 6).has_value() == !must_stop);
            progress.acknowledged = stored + (must_stop ? 0 : 1);
            VaultBox crashed(box.memory.files());
            check_nothing_lost(crashed, progress);
        }
        check_nothing_lost(box, progress);
    }
}

TEST_CASE("after a failed sync nothing more is taken, and a second sync is not believed") {
    VaultBox box;
    {
        sqlite::Database database = box.must_open(true);
        must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, step INTEGER, v BLOB) STRICT"));
        must(one_step(database, 1));
        box.memory.arm(DiskFault::sync_error, 1, false);
        CHECK(one_step(database, 2).error().fault() == Fault::disk);
        box.memory.disarm();
        CHECK(one_step(database, 3).error().fault() == Fault::disk);
        CHECK(database.execute("PRAGMA wal_checkpoint(TRUNCATE)").has_value() == false);
        CHECK(number(database, "SELECT count(*) FROM t") == rows_per_step);
        // Not even the next program may find what only the system's memory holds.
        VaultBox crashed(box.memory.files());
        check_nothing_lost(crashed, {true, 1, {}});
        sqlite::Database next = crashed.must_open();
        CHECK(number(next, "SELECT count(*) FROM t") == rows_per_step);
    }
    sqlite::Database again = box.must_open();
    CHECK(number(again, "SELECT count(*) FROM t") == rows_per_step);
    must(one_step(again, 4));
}

TEST_CASE("a power cut at any moment loses nothing that was acknowledged") {
    const std::int64_t calls = calls_of_script();
    const std::int64_t rounds = from_environment("LADDERLINE_POWER_CUTS", 400);
    SeededRandom random(2026);
    int with_log = 0;
    for (std::int64_t round = 0; round < rounds; ++round) {
        CAPTURE(round);
        VaultBox box;
        // From this call on nothing reaches the disk any more; what is left is a part of what was under way.
        box.memory.arm(DiskFault::io_error,
                       1 + static_cast<std::int64_t>(random.next() % static_cast<std::uint64_t>(calls)), true);
        const Progress progress = run_script(box);
        VaultBox later(box.memory.after_power_cut(random));
        with_log += later.memory.exists(log_file) ? 1 : 0;
        check_nothing_lost(later, progress);
        check_nothing_lost(later, progress);
    }
    CHECK(with_log > rounds / 2);
}
