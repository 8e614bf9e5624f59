#include "store/sqlite/transaction.hpp"

#include <doctest/doctest.h>

#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store::sqlite;
using ladderline::test::must;
using ladderline::test::number;

namespace {

Database with_table() {
    Database database = Database::in_memory().value();
    must(
        database.execute("CREATE TABLE p(id INTEGER PRIMARY KEY);"
                         "CREATE TABLE t(v INTEGER REFERENCES p(id) DEFERRABLE INITIALLY DEFERRED) STRICT;"));
    return database;
}

}  // namespace

TEST_CASE("a committed transaction stays") {
    Database database = with_table();
    {
        Transaction transaction = Transaction::begin(database).value();
        must(database.run("INSERT INTO p VALUES (1)"));
        must(transaction.commit());
    }
    CHECK_FALSE(database.in_transaction());
    CHECK(number(database, "SELECT count(*) FROM p") == 1);
}

TEST_CASE("a transaction that is dropped leaves nothing") {
    Database database = with_table();
    {
        const Transaction transaction = Transaction::begin(database).value();
        must(database.run("INSERT INTO p VALUES (1)"));
    }
    CHECK_FALSE(database.in_transaction());
    CHECK(number(database, "SELECT count(*) FROM p") == 0);
}

TEST_CASE("a transaction can be rolled back by hand and another begun") {
    Database database = with_table();
    Transaction transaction = Transaction::begin(database).value();
    must(database.run("INSERT INTO p VALUES (1)"));
    transaction.roll_back();
    Transaction second = Transaction::begin(database).value();
    must(second.commit());
    CHECK(number(database, "SELECT count(*) FROM p") == 0);
}

TEST_CASE("a commit that fails has rolled back") {
    Database database = with_table();
    Transaction transaction = Transaction::begin(database).value();
    must(database.run("INSERT INTO t VALUES (99)"));  // no such parent: found out at the commit
    const Result<void> outcome = transaction.commit();
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::bad_input);
    CHECK_FALSE(database.in_transaction());
    CHECK(number(database, "SELECT count(*) FROM t") == 0);
}

TEST_CASE("a commit after SQLite itself has undone the transaction is an error") {
    Database database = with_table();
    Transaction transaction = Transaction::begin(database).value();
    must(database.run("INSERT INTO p VALUES (1)"));
    CHECK_FALSE(database.run("INSERT OR ROLLBACK INTO p VALUES (1)"));
    const Result<void> outcome = transaction.commit();
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().fault() == Fault::disk);
    CHECK(number(database, "SELECT count(*) FROM p") == 0);
}

TEST_CASE("a transaction follows its database when that moves") {
    Database database = with_table();
    Transaction transaction = Transaction::begin(database).value();
    Database moved = std::move(database);
    must(moved.run("INSERT INTO p VALUES (1)"));
    must(transaction.commit());
    CHECK(number(moved, "SELECT count(*) FROM p") == 1);
}

TEST_CASE("whoever asked is told of each commit, afterwards, and of nothing else") {
    Database database = with_table();
    std::int64_t told = 0;
    database.on_commit([&] { told += number(database, "SELECT count(*) FROM p"); });
    {
        Transaction transaction = Transaction::begin(database).value();
        must(database.run("INSERT INTO p VALUES (1)"));
        CHECK(told == 0);
        must(transaction.commit());
    }
    CHECK(told == 1);
    {
        const Transaction transaction = Transaction::begin(database).value();
        must(database.run("INSERT INTO p VALUES (2)"));
    }
    CHECK(told == 1);
    database.on_commit({});
    Transaction transaction = Transaction::begin(database).value();
    must(transaction.commit());
    CHECK(told == 1);
}

TEST_CASE("long work can be stopped, and the database goes on") {
    Database database = with_table();
    constexpr std::string_view long_work =
        "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 1000000) SELECT count(*) FROM n";
    int asked = 0;
    database.on_work([&] { return ++asked < 3; });
    CHECK(database.query(long_work, [](const Row&) {}).error().fault() == Fault::cancelled);
    CHECK(asked == 3);
    database.on_work({});
    CHECK(number(database, "SELECT count(*) FROM p") == 0);
}
