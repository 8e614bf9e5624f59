#include "store/vault/open_database.hpp"

#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include "store/sqlite/transaction.hpp"
#include "store/vault/layout.hpp"
#include "store/vault/sealed_file.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/store/provokes_refusals.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;

namespace {

constexpr std::string_view make_table = "CREATE TABLE t(id INTEGER PRIMARY KEY, v TEXT) STRICT";

// A store with ten rows, some in the database and some in the log.
Files crashed_store() {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute(make_table));
    for (int i = 0; i < 5; ++i) must(database.run("INSERT INTO t(v) VALUES (?1)", "row"));
    must(database.execute("PRAGMA wal_checkpoint(PASSIVE)"));
    for (int i = 0; i < 5; ++i) must(database.run("INSERT INTO t(v) VALUES (?1)", "row"));
    return box.memory.files();
}

}  // namespace

TEST_CASE("what was stored is there when the store is opened again") {
    VaultBox box;
    {
        sqlite::Database database = box.must_open(true);
        must(database.execute(make_table));
        must(database.run("INSERT INTO t(v) VALUES (?1)", "kept"));
    }
    CHECK_FALSE(box.memory.exists(log_file));
    sqlite::Database database = box.must_open();
    CHECK(test::text(database, "SELECT v FROM t") == "kept");
}

TEST_CASE("what was stored is there after a crash") {
    VaultBox box(crashed_store());
    REQUIRE(box.memory.exists(log_file));
    sqlite::Database database = box.must_open();
    CHECK(number(database, "SELECT count(*) FROM t") == 10);
    CHECK(test::text(database, "PRAGMA integrity_check") == "ok");
}

TEST_CASE("a connection has the profile that the file format rests on") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    struct Case {
        const char* pragma;
        const char* value;
    };
    const Case cases[] = {
        {"PRAGMA journal_mode", "wal"}, {"PRAGMA locking_mode", "exclusive"},
        {"PRAGMA cache_spill", "0"},    {"PRAGMA temp_store", "2"},
        {"PRAGMA page_size", "4096"},   {"PRAGMA synchronous", "2"},
        {"PRAGMA secure_delete", "1"},  {"PRAGMA foreign_keys", "1"},
        {"PRAGMA trusted_schema", "0"}, {"PRAGMA auto_vacuum", "0"},
        {"PRAGMA encoding", "UTF-8"},   {"PRAGMA wal_autocheckpoint", "512"},
        {"PRAGMA mmap_size", ""},       {"PRAGMA journal_size_limit", "4194304"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.pragma);
        CHECK(test::text(database, c.pragma) == c.value);
    }
}

TEST_CASE("SQLite is offered no memory mapping and no shared memory: io methods of version 1") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY)"));
    sqlite3_file* file = nullptr;
    REQUIRE(sqlite3_file_control(database.handle(), "main", SQLITE_FCNTL_FILE_POINTER, &file) == SQLITE_OK);
    CHECK(file->pMethods->iVersion == 1);
    CHECK((file->pMethods->xShmMap == nullptr));
    CHECK((file->pMethods->xFetch == nullptr));
    sqlite3_file* log = nullptr;
    REQUIRE(sqlite3_file_control(database.handle(), "main", SQLITE_FCNTL_JOURNAL_POINTER, &log) == SQLITE_OK);
    CHECK(log->pMethods->iVersion == 1);
    CHECK(test::text(database, "PRAGMA mmap_size=1048576").empty());
}

TEST_CASE("normal use asks the vault for nothing it refuses") {
    const std::int64_t before = vault::refusals;
    {
        VaultBox box(crashed_store());
        sqlite::Database database = box.must_open();
        must(
            database.execute("CREATE TEMP TABLE scratch AS SELECT * FROM t;"
                             "CREATE INDEX by_value ON t(v);"
                             "INSERT INTO t(v) SELECT zeroblob(9000) || a.v FROM t a, t b;"
                             "DELETE FROM t WHERE id % 3 = 0;"));
        {
            sqlite::Transaction transaction = sqlite::Transaction::begin(database).value();
            must(database.execute("SAVEPOINT a; UPDATE t SET v = v || 'x'; ROLLBACK TO a; RELEASE a;"));
            must(transaction.commit());
        }
        must(database.execute("VACUUM; ANALYZE; PRAGMA wal_checkpoint(TRUNCATE); REINDEX;"));
        CHECK(number(database, "SELECT count(*) FROM (SELECT v FROM t ORDER BY v, id)") > 50);
    }
    CHECK(vault::refusals == before);
}

TEST_CASE("a wrong key is said so, and database and log stay byte for byte the same") {
    const Files files = crashed_store();
    VaultBox box(files);
    SeededRandom random(99);
    const auto wrong = protocol::AeadKey::random(random);
    for (const bool create : {false, true}) {
        const auto opened = vault::open_database(store_file, wrong, {create, box.memory.name(), random});
        REQUIRE_FALSE(opened);
        CHECK(opened.error().fault() == Fault::wrong_key);
        CHECK(box.memory.files() == files);
    }
}

TEST_CASE("a store that is open cannot be opened a second time") {
    VaultBox box;
    sqlite::Database first = box.must_open(true);
    must(first.execute(make_table));
    const Files before = box.memory.files();
    const auto second = box.open();
    REQUIRE_FALSE(second);
    CHECK(second.error().fault() == Fault::busy);
    CHECK(second.error().sentence() == "This store is already open in another Ladderline; close that one first.");
    CHECK(box.memory.files() == before);
    must(first.run("INSERT INTO t(v) VALUES ('still mine')"));
}

TEST_CASE("on the system's files too a store cannot be opened twice by one process") {
    const ScratchFolder kept("vault-twice");
    const std::filesystem::path& folder = kept.path();
    SeededRandom random(1);
    {
        const auto first = vault::open_database(folder / "store.db", VaultBox::key(), {true, "", random});
        REQUIRE(first);
        const auto second = vault::open_database(folder / "store.db", VaultBox::key(), {true, "", random});
        REQUIRE_FALSE(second);
        CHECK(second.error().fault() == Fault::busy);
    }
    CHECK(vault::open_database(folder / "store.db", VaultBox::key(), {false, "", random}).has_value());
}

TEST_CASE("a store that another process has open cannot be opened, and can once that process is gone") {
    const ScratchFolder kept("vault");
    const std::filesystem::path& folder = kept.path();
    int is_open[2];
    int may_end[2];
    REQUIRE(pipe(is_open) == 0);
    REQUIRE(pipe(may_end) == 0);
    SeededRandom random(1);
    const pid_t child = fork();
    REQUIRE(child >= 0);
    char byte = 0;
    if (child == 0) {
        const auto opened = vault::open_database(folder / "store.db", VaultBox::key(), {true, "", random});
        byte = opened.has_value() ? 'y' : 'n';
        const bool told = write(is_open[1], &byte, 1) == 1;
        close(may_end[1]);
        _exit(told && read(may_end[0], &byte, 1) >= 0 ? 0 : 1);
    }
    REQUIRE(read(is_open[0], &byte, 1) == 1);
    CHECK(byte == 'y');
    const auto second = vault::open_database(folder / "store.db", VaultBox::key(), {true, "", random});
    CHECK_FALSE(second.has_value());
    if (!second) CHECK(second.error().fault() == Fault::busy);
    close(may_end[1]);
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(vault::open_database(folder / "store.db", VaultBox::key(), {false, "", random}).has_value());
    for (const int end : {is_open[0], is_open[1], may_end[0]}) close(end);
}

TEST_CASE("a missing store is not made unless asked") {
    VaultBox box;
    const auto opened = box.open(false);
    REQUIRE_FALSE(opened);
    CHECK(opened.error().fault() == Fault::not_found);
    CHECK(box.memory.files().empty());
}

TEST_CASE("a database cut off within its first page is damaged, and left as it is") {
    VaultBox whole;
    { const sqlite::Database database = whole.must_open(true); }
    Bytes cut = whole.memory.bytes(store_file);
    cut.resize(vault::page_bytes - 1);
    VaultBox box({{store_file, cut}});
    const auto opened = box.open(true);
    REQUIRE_FALSE(opened.has_value());
    CHECK(opened.error().fault() == Fault::damaged);
    CHECK(opened.error().sentence().find("cut off") != std::string::npos);
    CHECK(box.memory.bytes(store_file) == cut);
}

TEST_CASE("a store whose creation was cut off is made anew, at whatever point") {
    VaultBox reference;
    { const sqlite::Database database = reference.must_open(true); }
    const Bytes whole = reference.memory.bytes(store_file);
    for (const std::size_t length : {std::size_t{0}, std::size_t{100}, std::size_t{4096}}) {
        CAPTURE(length);
        Bytes cut(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(length));
        std::fill_n(cut.begin(), std::min(length, vault::header_bytes), std::uint8_t{0});  // the header comes last
        VaultBox box({{store_file, cut}});
        CHECK(box.open(false).error().fault() == Fault::not_found);
        sqlite::Database database = box.must_open(true);
        must(database.execute(make_table));
    }
}

TEST_CASE("an empty database beside a log that holds something is damage, never a new store") {
    Files files = crashed_store();
    for (const bool gone : {false, true}) {
        Files broken = files;
        if (gone) {
            broken.erase(store_file);
        } else {
            broken[store_file].clear();
        }
        VaultBox box(broken);
        const auto opened = box.open(true);
        REQUIRE_FALSE(opened);
        CHECK(opened.error().fault() == Fault::damaged);
        CHECK(box.memory.files() == broken);
    }
}

TEST_CASE("a plain SQLite file is not taken for a store, and not touched") {
    MemoryVfs memory;
    {
        sqlite::Database plain = sqlite::Database::open_plain(store_file, memory.name()).value();
        must(plain.execute(make_table));
    }
    const Files before = memory.files();
    VaultBox box(before);
    const auto opened = box.open(true);
    REQUIRE_FALSE(opened);
    CHECK(opened.error().fault() == Fault::damaged);
    CHECK(box.memory.files() == before);
}

TEST_CASE("a store of a newer format is refused untouched") {
    Files files = crashed_store();
    files[store_file][3] = 2;
    VaultBox box(files);
    CHECK(box.open().error().fault() == Fault::unsupported);
    CHECK(box.memory.files() == files);
}

TEST_CASE("a rollback journal laid beside a store is not played back into it") {
    Files files = crashed_store();
    files[store_file + "-journal"] = Bytes(8192, 0xd9);
    VaultBox box(files);
    sqlite::Database database = box.must_open();
    CHECK(number(database, "SELECT count(*) FROM t") == 10);
}

TEST_CASE("settings that would break the format are refused and leave the store as it was" *
          doctest::description(provokes_refusals)) {
    VaultBox box(crashed_store());
    {
        sqlite::Database database = box.must_open();
        static_cast<void>(database.execute("PRAGMA journal_mode=DELETE").has_value());
        static_cast<void>(database.execute("PRAGMA page_size=8192; VACUUM").has_value());
        static_cast<void>(database.execute("PRAGMA auto_vacuum=FULL; VACUUM").has_value());
        CHECK_FALSE(database.execute("ATTACH '/mem/other.db' AS other; CREATE TABLE other.t(a);"));
        CHECK_FALSE(database.execute("VACUUM INTO '/mem/copy.db'"));
    }
    CHECK_FALSE(box.memory.exists("/mem/other.db"));
    CHECK_FALSE(box.memory.exists("/mem/copy.db"));
    sqlite::Database database = box.must_open();
    CHECK(number(database, "SELECT count(*) FROM t") == 10);
    CHECK(test::text(database, "PRAGMA page_size") == "4096");
    CHECK(test::text(database, "PRAGMA auto_vacuum") == "0");
    CHECK(test::text(database, "PRAGMA journal_mode") == "wal");
}

TEST_CASE("a checkpoint copies the sealed page from the log, it does not seal it again") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute(make_table));
    must(database.execute("PRAGMA wal_checkpoint(PASSIVE)"));
    const Bytes log = box.memory.bytes(log_file);
    const Bytes main = box.memory.bytes(store_file);
    int found = 0;
    const std::size_t frames = (log.size() - vault::log_header_bytes) / vault::frame_bytes;
    for (std::size_t i = 0; i < frames; ++i) {
        const auto page = log.begin() + static_cast<std::ptrdiff_t>(vault::log_header_bytes + i * vault::frame_bytes +
                                                                    vault::frame_header_bytes);
        for (std::size_t at = 0; at < main.size(); at += vault::page_bytes) {
            const auto target = main.begin() + static_cast<std::ptrdiff_t>(at);
            found += std::equal(page, page + vault::page_bytes, target) ? 1 : 0;
        }
    }
    CHECK(frames == 2);
    CHECK(found == 2);
}

TEST_CASE("hints about the size of a file, which would make holes, go no further than the vault") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute(make_table));
    must(database.execute("INSERT INTO t(v) VALUES (hex(zeroblob(20000))); PRAGMA wal_checkpoint(TRUNCATE);"));
    CHECK(box.memory.size_hints() == 0);
    // Plain SQLite gives them.
    MemoryVfs memory;
    sqlite::Database plain = sqlite::Database::open_plain(store_file, memory.name()).value();
    must(plain.execute("PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=WAL;"));
    must(plain.execute(make_table));
    must(plain.execute("INSERT INTO t(v) VALUES (hex(zeroblob(20000))); PRAGMA wal_checkpoint(TRUNCATE);"));
    CHECK(memory.size_hints() > 0);
}

TEST_CASE("the log does not grow without bound") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute(make_table));
    std::size_t largest = 0;
    for (int i = 0; i < 2000; ++i) {
        must(database.run("INSERT INTO t(v) VALUES (?1)", std::string(3000, 'x')));
        if (i % 50 == 0) largest = std::max(largest, box.memory.bytes(log_file).size());
    }
    CHECK(largest < std::size_t{3} * 1024 * 1024);
}
