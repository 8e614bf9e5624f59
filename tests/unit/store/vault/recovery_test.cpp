// What a store says after its files were cut, changed or forged: the truth, an older truth that no sync had promised
// away, or a clean error.

#include <doctest/doctest.h>

#include "store/vault/layout.hpp"
#include "tests/support/store/provokes_refusals.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;

namespace {

constexpr int transactions = 6;

// A table in the database, and in the log `transactions` commits of one row each, one frame each.
Files store_with_log() {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY) STRICT; PRAGMA wal_checkpoint(TRUNCATE);"));
    for (int i = 0; i < transactions; ++i) must(database.run("INSERT INTO t DEFAULT VALUES"));
    return box.memory.files();
}

std::size_t frame_at(std::size_t frame) {
    return vault::log_header_bytes + frame * vault::frame_bytes;
}

// Rows found, or -1 for a store that says it is damaged and stays as it is.
std::int64_t rows_or_damage(const Files& files) {
    VaultBox box(files);
    auto opened = box.open();
    if (!opened) {
        CHECK(opened.error().fault() == Fault::damaged);
        CHECK(box.memory.files() == files);
        return -1;
    }
    std::int64_t rows = -2;
    const Result<void> outcome =
        opened.value().query("SELECT count(*) FROM t", [&](const sqlite::Row& row) { rows = row.integer(0); });
    if (!outcome) {
        CHECK(outcome.error().fault() == Fault::damaged);
        return -1;
    }
    return rows;
}

}  // namespace

TEST_CASE("a log cut off anywhere gives the commits that are whole") {
    const Files files = store_with_log();
    const std::size_t length = files.at(log_file).size();
    REQUIRE(length == frame_at(transactions));
    for (std::size_t cut = 0; cut <= length; cut += 515) {
        CAPTURE(cut);
        Files changed = files;
        changed[log_file].resize(cut);
        const std::size_t whole =
            cut < vault::log_header_bytes ? 0 : (cut - vault::log_header_bytes) / vault::frame_bytes;
        CHECK(rows_or_damage(changed) == static_cast<std::int64_t>(whole));
    }
}

TEST_CASE("a bit changed in the log is an error, or costs no more than the last two commits") {
    const Files files = store_with_log();
    for (std::size_t frame = 0; frame < transactions; ++frame) {
        for (const std::size_t at : {0U, 5U, 9U, 17U, 24U, 1000U, 4079U, 4090U, 4119U}) {
            CAPTURE(frame);
            CAPTURE(at);
            Files changed = files;
            changed[log_file][frame_at(frame) + at] ^= 0x04;
            const std::int64_t rows = rows_or_damage(changed);
            const bool error = rows == -1;
            const bool older = rows == static_cast<std::int64_t>(frame) && frame + 3 >= transactions;
            CHECK((error || older));
            if (frame + 3 < transactions) CHECK(error);
        }
    }
}

TEST_CASE("a bit changed anywhere in the database file is an error or has no effect on what is read") {
    VaultBox source;
    {
        sqlite::Database database = source.must_open(true);
        must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, v BLOB) STRICT"));
        must(database.execute("INSERT INTO t(v) VALUES (zeroblob(20000))"));
        for (int i = 0; i < 30; ++i) must(database.run("INSERT INTO t(v) VALUES (zeroblob(300))"));
    }
    const Files files = source.memory.files();
    SeededRandom random(11);
    int errors = 0;
    constexpr int flips = 300;
    for (int i = 0; i < flips; ++i) {
        Files changed = files;
        Bytes& bytes = changed[store_file];
        const std::size_t at = vault::header_bytes + random.next() % (bytes.size() - vault::header_bytes);
        bytes[at] ^= static_cast<std::uint8_t>(1U << (random.next() % 8));
        VaultBox box(changed);
        auto opened = box.open();
        Result<void> outcome =
            opened ? opened.value().query("SELECT v FROM t", [](const sqlite::Row&) {}) : Result<void>(opened.error());
        if (outcome) continue;
        CHECK(outcome.error().fault() == Fault::damaged);
        ++errors;
    }
    CHECK(errors == flips);
}

TEST_CASE("a bit changed in the clear header is an error") {
    const Files files = store_with_log();
    for (std::size_t bit = 0; bit < vault::header_bytes * 8; ++bit) {
        CAPTURE(bit);
        Files changed = files;
        changed[store_file][bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
        VaultBox box(changed);
        CHECK_FALSE(box.open().has_value());
        CHECK(box.memory.files() == changed);
    }
}

TEST_CASE("a torn page 1 is mended from the log") {
    // The crash of a checkpoint: the log is whole, page 1 half written.
    VaultBox source;
    sqlite::Database database = source.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY) STRICT"));
    must(database.execute("INSERT INTO t VALUES (1)"));
    for (const std::size_t torn_at : {24U, 512U, 4000U}) {
        CAPTURE(torn_at);
        Files files = source.memory.files();
        Bytes& main = files[store_file];
        std::fill(main.begin() + static_cast<std::ptrdiff_t>(torn_at), main.begin() + 4096, std::uint8_t{0});
        CHECK(rows_or_damage(files) == 1);
    }
}

TEST_CASE("the log of another store is not taken for this one's") {
    Files files = store_with_log();
    VaultBox other({}, 2);
    sqlite::Database database = other.must_open(true);
    must(database.execute("CREATE TABLE u(a); INSERT INTO u VALUES (1);"));
    files[log_file] = other.memory.bytes(log_file);
    CHECK(rows_or_damage(files) == -1);
}

TEST_CASE("a frame copied to the end of the log adds nothing") {
    Files files = store_with_log();
    Bytes& log = files[log_file];
    const Bytes frame(log.begin() + static_cast<std::ptrdiff_t>(frame_at(2)),
                      log.begin() + static_cast<std::ptrdiff_t>(frame_at(3)));
    log.insert(log.end(), frame.begin(), frame.end());
    CHECK(rows_or_damage(files) == transactions);
}

TEST_CASE("a store that was recovered takes further steps and keeps them") {
    Files files = store_with_log();
    files[log_file].resize(frame_at(4) + 700);
    Files later;
    {
        VaultBox box(files);
        sqlite::Database database = box.must_open();
        must(database.run("INSERT INTO t DEFAULT VALUES"));
        later = box.memory.files();
    }
    CHECK(rows_or_damage(later) == 5);
}

TEST_CASE("a step larger than the cache, partly taken back, costs no committed step at a crash") {
    VaultBox source;
    sqlite::Database database = source.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, v BLOB) STRICT; PRAGMA cache_size=5;"));
    for (int i = 0; i < 20; ++i) {
        must(database.execute("BEGIN IMMEDIATE; INSERT INTO t(v) VALUES (zeroblob(2000)); SAVEPOINT a;"));
        for (int k = 0; k < 30; ++k) must(database.run("INSERT INTO t(v) VALUES (zeroblob(3000))"));
        must(database.execute("ROLLBACK TO a; RELEASE a; COMMIT;"));
        CHECK(rows_or_damage(source.memory.files()) == i + 1);
    }
}

TEST_CASE("with the cache spill turned on behind its back the vault refuses rather than loses" *
          doctest::description(provokes_refusals)) {
    VaultBox source;
    sqlite::Database database = source.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, v BLOB) STRICT"));
    must(database.execute("PRAGMA cache_size=5; PRAGMA cache_spill=ON;"));
    std::int64_t committed = 0;
    int refused = 0;
    for (int i = 0; i < 20; ++i) {
        must(database.execute("BEGIN IMMEDIATE"));
        Result<void> outcome = database.run("INSERT INTO t(v) VALUES (zeroblob(2000))");
        for (int k = 0; k < 30 && outcome; ++k) outcome = database.run("UPDATE t SET v = zeroblob(2000 + ?1)", k);
        if (outcome) outcome = database.execute("COMMIT");
        if (!outcome && database.in_transaction()) must(database.execute("ROLLBACK"));
        committed += outcome ? 1 : 0;
        refused += outcome ? 0 : 1;
        CHECK(rows_or_damage(source.memory.files()) == committed);
    }
    CHECK(refused > 0);
}

TEST_CASE("a log longer than one commit is read back whole") {
    VaultBox source;
    sqlite::Database database = source.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, v BLOB) STRICT"));
    must(
        database.execute("WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 400)"
                         " INSERT INTO t(v) SELECT zeroblob(3000) FROM n"));
    CHECK(rows_or_damage(source.memory.files()) == 400);
}
