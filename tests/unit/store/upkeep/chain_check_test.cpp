#include "store/upkeep/chain_check.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "store/upkeep/last_check.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;

namespace {

// Two logs: a club with ten notes, and a desk.
struct World {
    test::SeededRandom random{31};
    test::Person ada = test::make_person("Ada", random);
    EventLogNode node{32};
    CircleId club = node.found(ada, CircleKind::club, MemberRole::officer);
    CircleId desk = node.found(ada, CircleKind::desk, MemberRole::newcomer);

    World() {
        for (int i = 0; i < 10; ++i) {
            REQUIRE(node.log.append({club, kind::note, Bytes(20, 7), {}}, node.now).has_value());
        }
    }
    void change(std::string_view sql) { REQUIRE(node.db.execute(sql).has_value()); }
    store::ChainReport check(std::uint64_t events_per_step = 1000) {
        store::ChainCheck check(node.db);
        for (bool more = true; more;) more = check.step(events_per_step).value();
        return check.report();
    }
};

}  // namespace

TEST_CASE("a whole store is found whole, in slices of any size") {
    World world;
    for (const std::uint64_t size : {1, 2, 3, 11, 1000}) {
        const store::ChainReport report = world.check(size);
        CHECK(report.is_sound());
        CHECK(report.logs == 2);
        CHECK(report.events == 12);
    }
}

TEST_CASE("an empty store is whole") {
    EventLogNode node(33);
    store::ChainCheck check(node.db);
    CHECK_FALSE(check.step(1).value());
    CHECK(check.report().is_sound());
}

TEST_CASE("whatever is changed in an event, the check names the log and how much of it is good") {
    const std::pair<const char*, std::uint64_t> changes[] = {
        {"UPDATE event SET sealed = zeroblob(length(sealed)) WHERE log_ref = 1 AND seq = 4", 4},
        {"UPDATE event SET id = zeroblob(32) WHERE log_ref = 1 AND seq = 4", 4},
        {"UPDATE event SET salt = zeroblob(8) WHERE log_ref = 1 AND seq = 4", 4},
        {"UPDATE event SET key_id = zeroblob(16) WHERE log_ref = 1 AND seq = 4", 4},
        {"UPDATE event SET ctl = x'ff' WHERE log_ref = 1 AND seq = 4", 4},
        {"DELETE FROM event WHERE log_ref = 1 AND seq = 4", 4},
        {"DELETE FROM event WHERE log_ref = 1 AND seq = 0", 0},
        {"DELETE FROM event WHERE log_ref = 1 AND seq = 10", 10},
        {"UPDATE event SET signature = zeroblob(64) WHERE log_ref = 1 AND seq = 10", 11},
        {"UPDATE log SET head = zeroblob(32) WHERE log_ref = 1", 11},
        {"UPDATE log SET next_seq = 10 WHERE log_ref = 1", 10},
        {"UPDATE log SET salt = zeroblob(16) WHERE log_ref = 1", 0},
        {"UPDATE log SET device = zeroblob(32) WHERE log_ref = 1", 0},
        {"UPDATE log SET circle = zeroblob(32) WHERE log_ref = 1", 0},
    };
    for (const auto& [sql, good] : changes) {
        CAPTURE(sql);
        World world;
        world.change(sql);
        for (const std::uint64_t size : {1, 1000}) {
            const store::ChainReport report = world.check(size);
            REQUIRE(report.damage.size() == 1);
            CHECK(report.damage.front().good == good);
            CHECK(report.logs == 2);
        }
    }
}

TEST_CASE("a bad signature that a later one covers is no damage") {
    World world;
    world.change("UPDATE event SET signature = zeroblob(64) WHERE log_ref = 1 AND seq = 5");
    CHECK(world.check().is_sound());
}

TEST_CASE("events that arrive during a check do not disturb it") {
    World world;
    store::ChainCheck check(world.node.db);
    REQUIRE(check.step(3).value());
    REQUIRE(check.step(3).value());
    REQUIRE(world.node.log.append({world.club, kind::note, Bytes(20, 7), {}}, world.node.now).has_value());
    for (bool more = true; more;) more = check.step(3).value();
    CHECK(check.report().is_sound());
}

TEST_CASE("what the last check found is kept") {
    World world;
    CHECK_FALSE(store::last_check(world.node.db).value().has_value());
    world.change("DELETE FROM event WHERE log_ref = 1 AND seq = 10");
    REQUIRE(store::put_events_check(world.node.db, store::record_of(world.check(), {5000})));
    const auto last = store::last_check(world.node.db).value();
    REQUIRE(last.has_value());
    CHECK_FALSE(last->is_full);
    CHECK(last->record.when == WallTime{5000});
    CHECK_FALSE(last->record.sound);
    CHECK(last->record.events == 11);
    CHECK(last->record.sentence.find("1 damaged") != std::string::npos);
}

TEST_CASE("what a full check found counts until the next, and a look at the events adds damage alone") {
    World world;
    store::sqlite::Database& db = world.node.db;
    const store::CheckRecord whole{{1}, 1, 1, true, "whole"};
    const store::CheckRecord damaged{{2}, 1, 1, false, "damaged"};
    const auto is_sound = [&] { return store::last_check(db).value()->record.sound; };
    REQUIRE(store::put_full_check(db, damaged));
    REQUIRE(store::put_events_check(db, whole));
    CHECK_FALSE(is_sound());
    CHECK(store::last_check(db).value()->is_full);
    REQUIRE(store::put_full_check(db, whole));
    CHECK(is_sound());
    REQUIRE(store::put_events_check(db, damaged));
    CHECK_FALSE(is_sound());
    REQUIRE(store::put_events_check(db, whole));
    CHECK(is_sound());
    CHECK(store::last_check(db).value()->full_check == WallTime{1});
    REQUIRE(store::forget_checks(db));
    CHECK_FALSE(store::last_check(db).value().has_value());
}
