// What a thief of the disk sees: nothing of tables, names or texts. A plain database is the control that the search
// works.

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;

namespace {

constexpr std::string_view marker = "MARKER-beacon";
constexpr int rows = 500;

// Texts, numbers in names of tables and columns, indexes, deleted and updated rows.
void fill(sqlite::Database& database) {
    must(
        database.execute("CREATE TABLE \"MARKER-beacon table\"(id INTEGER PRIMARY KEY, \"MARKER-beacon column\" TEXT);"
                         "CREATE INDEX by_text ON \"MARKER-beacon table\"(\"MARKER-beacon column\");"));
    for (int i = 0; i < rows; ++i) {
        must(database.run("INSERT INTO \"MARKER-beacon table\" VALUES (NULL, ?1)",
                          std::string(marker) + std::to_string(i)));
    }
    must(
        database.execute("DELETE FROM \"MARKER-beacon table\" WHERE id % 3 = 0;"
                         "CREATE TEMP TABLE s AS SELECT * FROM \"MARKER-beacon table\";"));
}

int markers_in(const Files& files) {
    int found = 0;
    for (const auto& [name, bytes] : files) {
        for (auto at = bytes.begin();; ++at) {
            at = std::search(at, bytes.end(), marker.begin(), marker.end());
            if (at == bytes.end()) break;
            ++found;
        }
    }
    return found;
}

}  // namespace

TEST_CASE("no text of a store is found in the bytes of its files") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    fill(database);
    const Files with_log = box.memory.files();
    REQUIRE(with_log.at(log_file).size() > 100'000);
    CHECK(markers_in(with_log) == 0);
    must(database.execute("PRAGMA wal_checkpoint(PASSIVE)"));
    CHECK(box.memory.bytes(store_file).size() > 30'000);
    CHECK(markers_in(box.memory.files()) == 0);
}

TEST_CASE("the same search finds the texts of a plain database") {
    MemoryVfs memory;
    sqlite::Database database = sqlite::Database::open_plain(store_file, memory.name()).value();
    fill(database);
    CHECK(markers_in(memory.files()) > rows);
}

TEST_CASE("SQLite's own magic text is not in the files") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    fill(database);
    for (const auto& [name, bytes] : box.memory.files()) {
        CAPTURE(name);
        const std::string_view magic = "SQLite format 3";
        CHECK(std::search(bytes.begin(), bytes.end(), magic.begin(), magic.end()) == bytes.end());
    }
}

TEST_CASE("a page written twice with the same contents looks different each time") {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, v INTEGER); INSERT INTO t VALUES (1, 1);"));
    must(database.execute(
        "PRAGMA wal_checkpoint(TRUNCATE); UPDATE t SET v = 2; UPDATE t SET v = 1; UPDATE t SET v = 2;"));
    const Bytes log = box.memory.bytes(log_file);
    REQUIRE(log.size() == 32 + 3 * 4120);
    const auto first = log.begin() + 32 + 24;
    const auto third = first + 2 * 4120;
    CHECK_FALSE(std::equal(first, first + 64, third));
}
