#include "store/sqlite/error.hpp"

#include <doctest/doctest.h>
#include <sqlite3.h>

#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store::sqlite;

TEST_CASE("each result code of SQLite has its culprit") {
    struct Case {
        int code;
        Fault fault;
    };
    const Case cases[] = {
        {SQLITE_FULL, Fault::disk},
        {SQLITE_BUSY, Fault::busy},
        {SQLITE_LOCKED_SHAREDCACHE, Fault::busy},
        {SQLITE_NOTADB, Fault::damaged},
        {SQLITE_CORRUPT_INDEX, Fault::damaged},
        {SQLITE_IOERR_DATA, Fault::damaged},
        {SQLITE_IOERR_CORRUPTFS, Fault::damaged},
        {SQLITE_IOERR_WRITE, Fault::disk},
        {SQLITE_IOERR_FSYNC, Fault::disk},
        {SQLITE_IOERR_NOMEM, Fault::refused},
        {SQLITE_NOMEM, Fault::refused},
        {SQLITE_READONLY, Fault::disk},
        {SQLITE_CANTOPEN, Fault::disk},
        {SQLITE_CONSTRAINT_CHECK, Fault::bad_input},
        {SQLITE_TOOBIG, Fault::bad_input},
        {SQLITE_INTERRUPT, Fault::cancelled},
        {SQLITE_ERROR, Fault::damaged},
        {SQLITE_SCHEMA, Fault::damaged},
    };
    for (const Case& c : cases) {
        CAPTURE(c.code);
        const Error error = error_of(c.code, nullptr);
        CHECK(error.fault() == c.fault);
        CHECK(error.sentence().size() > 20);
    }
}

TEST_CASE("a full disk is said in words a person can act on") {
    CHECK(error_of(SQLITE_FULL, nullptr).sentence() ==
          "The disk is full: nothing of this step was stored; free some space and try again.");
}

TEST_CASE("a refused value names the rule of the table") {
    Database database = Database::in_memory().value();
    test::must(database.execute("CREATE TABLE t(a INTEGER CONSTRAINT positive CHECK (a > 0)) STRICT"));
    const Result<void> outcome = database.run("INSERT INTO t VALUES (?1)", -1);
    REQUIRE_FALSE(outcome);
    CHECK(outcome.error().sentence().find("positive") != std::string::npos);
}
