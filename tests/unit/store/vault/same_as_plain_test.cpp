// Random statements on an encrypted store and on a plain SQLite in memory: the same answers, the same contents.
// LADDERLINE_SQL_STATEMENTS sets how many (4000 unless set; 100000 in the suite of tests/crash).

#include <doctest/doctest.h>

#include <cstdlib>

#include "protocol/crypto/hash.hpp"
#include "store/vault/sealed_file.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;

namespace {

// Writes one random statement at a time. Not every one succeeds: that too must be the same on both sides.
class Author {
public:
    explicit Author(std::uint64_t seed) : random_(seed) {}

    std::string next() {
        switch (below(24)) {
            case 0:
                return "BEGIN IMMEDIATE";
            case 1:
                return "COMMIT";
            case 2:
                return "ROLLBACK";
            case 3:
                return "SAVEPOINT s" + std::to_string(below(2));
            case 4:
                return "ROLLBACK TO s" + std::to_string(below(2));
            case 5:
                return "RELEASE s" + std::to_string(below(2));
            case 6:
                return "CREATE INDEX i" + std::to_string(below(3)) + " ON " + table() + "(k)";
            case 7:
                return "DROP INDEX i" + std::to_string(below(3));
            case 8:
                return "DELETE FROM " + table() + " WHERE id % " + std::to_string(2 + below(9)) + " = 0";
            case 9:
                return "UPDATE " + table() + " SET v = " + blob() + " WHERE id % 17 = " + std::to_string(below(17));
            case 10:
                return "UPDATE " + table() + " SET k = k + 1 WHERE k > " + std::to_string(below(500));
            case 11:
                return "INSERT INTO a SELECT id + 100000, k, v FROM b WHERE id % 5 = 0 LIMIT 20";
            case 12:
                return below(8) == 0 ? "DROP TABLE c" : "CREATE TABLE c AS SELECT * FROM " + table();
            case 13:
                return below(6) == 0 ? "VACUUM" : "ANALYZE";
            default:
                return "INSERT OR REPLACE INTO " + table() + " VALUES (" + std::to_string(below(400)) + ", " +
                       std::to_string(below(500)) + ", " + blob() + ")";
        }
    }

    std::uint64_t below(std::uint64_t bound) { return random_.next() % bound; }

private:
    std::string table() { return below(2) == 0 ? "a" : "b"; }
    // Mostly small, at times over several pages.
    std::string blob() {
        const std::uint64_t length = below(10) == 0 ? below(15000) : below(300);
        return "CAST(printf('%." + std::to_string(length) + "c', '" + static_cast<char>('a' + below(26)) +
               "') AS BLOB)";
    }

    SeededRandom random_;
};

struct ContentTag;
using Content = FixedBytes<ContentTag, 32>;

Content content_of(sqlite::Database& database) {
    Bytes all;
    const auto add = [&](const sqlite::Row& row) {
        for (int i = 0; i < row.column_count(); ++i) {
            const Bytes value = row.blob(i);
            all.insert(all.end(), value.begin(), value.end());
            all.push_back(0xff);
        }
    };
    must(database.query("SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY name", add));
    must(database.query("SELECT * FROM a ORDER BY id", add));
    must(database.query("SELECT * FROM b ORDER BY id", add));
    return protocol::hash_as<Content>("test contents", {ByteView(all)});
}

void make_tables(sqlite::Database& database) {
    must(
        database.execute("CREATE TABLE a(id INTEGER PRIMARY KEY, k INTEGER, v BLOB) STRICT;"
                         "CREATE TABLE b(id INTEGER PRIMARY KEY, k INTEGER, v BLOB) STRICT;"));
}

}  // namespace

TEST_CASE("random statements leave an encrypted store and a plain database with the same contents") {
    const char* given = std::getenv("LADDERLINE_SQL_STATEMENTS");
    const int statements = given == nullptr ? 4000 : std::atoi(given);
    const std::int64_t refusals_before = vault::refusals;
    VaultBox box;
    std::optional<sqlite::Database> sealed(box.must_open(true));
    sqlite::Database plain = sqlite::Database::in_memory().value();
    make_tables(*sealed);
    make_tables(plain);
    Author author(77);
    int succeeded = 0;
    for (int i = 0; i < statements; ++i) {
        CAPTURE(i);
        const std::string sql = author.next();
        CAPTURE(sql);
        const bool in_sealed = sealed->execute(sql).has_value();
        REQUIRE(in_sealed == plain.execute(sql).has_value());
        succeeded += in_sealed ? 1 : 0;
        if (i % 100 != 99) continue;
        REQUIRE(content_of(*sealed) == content_of(plain));
        if (plain.in_transaction()) continue;
        switch (author.below(3)) {
            case 0:
                must(sealed->execute("PRAGMA wal_checkpoint(TRUNCATE)"));
                break;
            case 1:
                sealed.reset();
                sealed.emplace(box.must_open());
                break;
            default: {
                // As if it had crashed here.
                const Files crashed = box.memory.files();
                VaultBox other(crashed);
                sqlite::Database recovered = other.must_open();
                REQUIRE(content_of(recovered) == content_of(plain));
            }
        }
    }
    CHECK(succeeded > statements / 2);
    CHECK(test::text(*sealed, "PRAGMA integrity_check") == "ok");
    CHECK(vault::refusals == refusals_before);
}
