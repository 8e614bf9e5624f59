#include "store/sqlite/database.hpp"

#include <doctest/doctest.h>

#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store::sqlite;
using ladderline::test::must;
using ladderline::test::number;

namespace {

struct NameTag;
using Name = FixedBytes<NameTag, 4>;

enum class Step : std::uint8_t { first = 1, second = 2 };

Database with_table() {
    Database database = Database::in_memory().value();
    must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, v ANY UNIQUE CHECK (v IS NOT 'forbidden')) STRICT;"));
    return database;
}

// What SQLite says of the value last bound: its type and its text.
std::string seen(Database& database) {
    return test::text(database, "SELECT typeof(v) || ' ' || quote(v) FROM t");
}

template <class T>
std::string stored_as(const T& value) {
    Database database = with_table();
    must(database.run("INSERT INTO t(v) VALUES (?1)", value));
    return seen(database);
}

}  // namespace

TEST_CASE("every kind of value arrives in the table as its own SQLite type") {
    CHECK(stored_as(-7) == "integer -7");
    CHECK(stored_as(std::uint8_t{200}) == "integer 200");
    CHECK(stored_as(true) == "integer 1");
    CHECK(stored_as(Step::second) == "integer 2");
    CHECK(stored_as(WallTime{-12345678901}) == "integer -12345678901");
    CHECK(stored_as(Day{20000}) == "integer 20000");
    CHECK(stored_as(0.5) == "real 0.5");
    CHECK(stored_as("clear sky") == "text 'clear sky'");
    CHECK(stored_as(std::string_view()) == "text ''");
    CHECK(stored_as(std::string("Zo\xc3\xab")) == "text 'Zo\xc3\xab'");
    CHECK(stored_as(Bytes{1, 2, 0}) == "blob X'010200'");
    CHECK(stored_as(Bytes{}) == "blob X''");
    CHECK(stored_as(ByteView()) == "blob X''");
    CHECK(stored_as(Name{{1, 2, 3, 4}}) == "blob X'01020304'");
    CHECK(stored_as(std::nullopt) == "null NULL");
    CHECK(stored_as(std::optional<std::string>()) == "null NULL");
    CHECK(stored_as(std::optional<std::int64_t>(3)) == "integer 3");
}

TEST_CASE("a number beyond 63 bits is refused, not wrapped") {
    Database database = with_table();
    const Result<void> outcome = database.run("INSERT INTO t(v) VALUES (?1)", std::uint64_t{1} << 63);
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::bad_input);
    CHECK(number(database, "SELECT count(*) FROM t") == 0);
}

TEST_CASE("a row is read back by type") {
    Database database = Database::in_memory().value();
    int rows = 0;
    must(database.query(
        "SELECT ?1, ?2, ?3, ?4, ?5",
        [&](const Row& row) {
            ++rows;
            CHECK(row.column_count() == 5);
            CHECK(row.integer(0) == std::int64_t{1} << 62);
            CHECK(row.real(1) == 2.25);
            CHECK(row.text(2) == std::string("a\0b", 3));
            CHECK(row.blob(3) == Bytes{9, 0, 8});
            CHECK(row.is_null(4));
            CHECK_FALSE(row.is_null(0));
        },
        std::int64_t{1} << 62, 2.25, std::string("a\0b", 3), Bytes{9, 0, 8}, std::nullopt));
    CHECK(rows == 1);
}

TEST_CASE("a stored id of the wrong length reads as zeros, never as part of an id") {
    Database database = Database::in_memory().value();
    const auto read = [&](const auto& value) {
        Name out{{9, 9, 9, 9}};
        must(database.query(
            "SELECT ?1", [&](const Row& row) { out = row.fixed<Name>(0); }, value));
        return out;
    };
    CHECK(read(Bytes{1, 2, 3, 4}) == Name{{1, 2, 3, 4}});
    CHECK(read(Bytes{1, 2, 3}).is_zero());
    CHECK(read(Bytes{1, 2, 3, 4, 5}).is_zero());
    CHECK(read(std::nullopt).is_zero());
}

TEST_CASE("a query may run the same text again for each of its rows") {
    Database database = with_table();
    for (int i = 0; i < 3; ++i) must(database.run("INSERT INTO t(v) VALUES (?1)", i));
    const std::string_view sql = "SELECT v FROM t WHERE v >= ?1 ORDER BY v";
    std::string seen_rows;
    must(database.query(
        sql,
        [&](const Row& outer) {
            seen_rows += std::to_string(outer.integer(0)) + ":";
            must(database.query(
                sql, [&](const Row& inner) { seen_rows += std::to_string(inner.integer(0)); }, outer.integer(0)));
            seen_rows += " ";
        },
        0));
    CHECK(seen_rows == "0:012 1:12 2:2 ");
}

TEST_CASE("a query stops at the error its reader returns, and the text can be used again") {
    Database database = with_table();
    for (int i = 0; i < 3; ++i) must(database.run("INSERT INTO t(v) VALUES (?1)", i));
    int rows = 0;
    const auto reader = [&](const Row&) -> Result<void> {
        if (++rows == 2) return Error{Fault::cancelled, "Enough."};
        return ok();
    };
    const Result<void> outcome = database.query("SELECT v FROM t", reader);
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::cancelled);
    CHECK(rows == 2);
    must(database.run("DELETE FROM t"));
    CHECK(database.changes() == 3);
}

TEST_CASE("a query left in the middle by an exception lets go of its rows") {
    Database database = with_table();
    for (int i = 0; i < 3; ++i) must(database.run("INSERT INTO t(v) VALUES (?1)", i));
    const auto reader = [](const Row&) { throw 1; };
    CHECK_THROWS(static_cast<void>(database.query("SELECT v FROM t", reader).has_value()));
    must(database.execute("DROP TABLE t"));
}

TEST_CASE("values bound once do not leak into the next use of the same text") {
    Database database = with_table();
    must(database.run("INSERT INTO t(v) VALUES (?1)", "first"));
    must(database.run("INSERT INTO t(v) VALUES (?1)", std::nullopt));
    CHECK(number(database, "SELECT count(*) FROM t WHERE v IS NULL") == 1);
}

TEST_CASE("several statements run in order and stop at the first that fails") {
    Database database = with_table();
    const Result<void> outcome = database.execute(
        "INSERT INTO t(v) VALUES (1); -- a remark\n INSERT INTO t(v) VALUES (1); INSERT INTO t(v) VALUES (2);");
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::bad_input);
    CHECK(number(database, "SELECT count(*) FROM t") == 1);
}

TEST_CASE("the last row id and the count of changes are those of the last statement") {
    Database database = with_table();
    must(database.run("INSERT INTO t(id, v) VALUES (41, 'x')"));
    must(database.run("INSERT INTO t(v) VALUES ('y')"));
    CHECK(database.last_insert_rowid() == 42);
    must(database.run("UPDATE t SET v = id"));
    CHECK(database.changes() == 2);
}

TEST_CASE("a database can be moved while a statement of its cache is idle") {
    Database database = with_table();
    must(database.run("INSERT INTO t(v) VALUES (?1)", 1));
    Database moved = std::move(database);
    must(moved.run("INSERT INTO t(v) VALUES (?1)", 2));
    CHECK(number(moved, "SELECT count(*) FROM t") == 2);
}

TEST_CASE("a kept statement can be stepped by hand") {
    Database database = Database::in_memory().value();
    Statement statement = database.prepare("SELECT ?1 UNION ALL SELECT ?2").value();
    must(statement.bind(5, 6));
    std::int64_t sum = 0;
    while (statement.step().value()) sum += statement.row().integer(0);
    CHECK(sum == 11);
}

TEST_CASE("foreign keys are watched") {
    Database database = Database::in_memory().value();
    must(database.execute("CREATE TABLE a(id INTEGER PRIMARY KEY); CREATE TABLE b(a INTEGER REFERENCES a(id));"));
    const Result<void> outcome = database.run("INSERT INTO b VALUES (1)");
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::bad_input);
}
