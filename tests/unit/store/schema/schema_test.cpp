#include "store/schema/schema.hpp"

#include "embedded/migrations.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store;
using ladderline::test::must;
using ladderline::test::number;

namespace {

// As release 0.1.0 left it, with three logs of 3, 2 and 4 events.
sqlite::Database first_version() {
    sqlite::Database db = sqlite::Database::in_memory().value();
    must(db.execute(embedded::migrations::f_0001_core_sql));
    must(db.execute("PRAGMA user_version = 1; PRAGMA application_id = " + std::to_string(application_id)));
    std::uint8_t number_of_log = 0;
    for (const int events : {3, 2, 4}) {
        must(
            db.run("INSERT INTO log (circle, log, device, salt, founding, mine, next_seq, head) "
                   "VALUES (zeroblob(32), ?1, zeroblob(32), zeroblob(16), 0, 1, ?2, zeroblob(32))",
                   Bytes(16, ++number_of_log), events));
    }
    return db;
}

}  // namespace

TEST_CASE("logs of the first version get arrival numbers, in the order in which they came") {
    sqlite::Database db = first_version();
    must(bring_up_to_date(db));
    std::vector<std::int64_t> arrivals;
    must(db.query("SELECT arrival FROM log ORDER BY log_ref",
                  [&](const sqlite::Row& row) { arrivals.push_back(row.integer(0)); }));
    CHECK(arrivals == std::vector<std::int64_t>{3, 5, 9});
    CHECK(number(db, "SELECT count(*) FROM log WHERE retired <> 0") == 0);
    CHECK(number(db, "PRAGMA user_version") == static_cast<std::int64_t>(embedded::migrations::all.size()));
}

TEST_CASE("of events that wait for a key in an older store the keys are known, log by log") {
    sqlite::Database db = first_version();
    must(
        db.execute("INSERT INTO unread (log_ref, seq, key_id) VALUES (1, 0, zeroblob(16)), (1, 2, zeroblob(16)), "
                   "(1, 1, randomblob(16)), (3, 3, zeroblob(16))"));
    must(bring_up_to_date(db));
    CHECK(number(db, "SELECT count(*) FROM missing_key") == 3);
    CHECK(number(db,
                 "SELECT count(*) FROM missing_key WHERE key_id = zeroblob(16) AND circle = zeroblob(32) "
                 "AND log_ref = 1 AND first_seq = 0 AND last_seq = 2") == 1);
}

TEST_CASE("a store that is up to date is left alone") {
    sqlite::Database db = first_version();
    must(bring_up_to_date(db));
    must(db.execute("UPDATE log SET arrival = 100"));
    must(bring_up_to_date(db));
    CHECK(number(db, "SELECT min(arrival) FROM log") == 100);
}
