// The real program, killed while it runs on a store: between two commands, and in the middle of one.
// LADDERLINE_TEST_SIZE times 12 rounds.

#include <thread>

#include "store/disk.hpp"
#include "store/vault/key_file.hpp"
#include "store/vault/open_database.hpp"
#include "tests/program/refusals.hpp"
#include "tests/support/protocol/seeded_random.hpp"
#include "tests/support/spin.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

struct Found {
    std::string integrity;
    std::int64_t events = 0;
    // A log whose events are not all there, or not those that its head counts.
    std::int64_t broken_logs = 0;
};

Found look_into(const Person& person) {
    store::RealDisk disk;
    const std::string passphrase = person.passphrase();
    const auto keys = store::vault::KeyFile::open(disk, person.home(), as_bytes(passphrase));
    REQUIRE(keys.has_value());
    SeededRandom random(3);
    auto db = store::vault::open_database(person.home() / "store.db", keys.value().data_key(), {false, {}, random});
    REQUIRE(db.has_value());
    Found out;
    const auto ask = [&](std::string_view sql, auto read) { REQUIRE(db.value().query(sql, read).has_value()); };
    ask("PRAGMA integrity_check", [&](const store::sqlite::Row& row) { out.integrity += row.text(0); });
    ask("SELECT count(*) FROM event", [&](const store::sqlite::Row& row) { out.events = row.integer(0); });
    ask("SELECT count(*) FROM log WHERE next_seq <> (SELECT count(*) FROM event WHERE event.log_ref = log.log_ref) "
        "OR head <> (SELECT id FROM event WHERE event.log_ref = log.log_ref ORDER BY seq DESC LIMIT 1)",
        [&](const store::sqlite::Row& row) { out.broken_logs = row.integer(0); });
    return out;
}

}  // namespace

TEST_CASE("the program killed between or within commands keeps every tick that it confirmed") {
    const AdasFolder f;
    const int rounds = 12 * test_size();
    SeededRandom chance(8);
    int number = 0;
    int acknowledged = 0;
    int lost = 0;
    std::int64_t events = look_into(f.ada).events;
    const auto tick = [&](int n) {
        return f.ada.run({"tick", "00.01", "--evidence", "MARKER-in the program " + std::to_string(n)});
    };
    for (int round = 0; round < rounds; ++round) {
        CAPTURE(round);
        RunningProgram node(f.ada);
        const std::uint64_t count = 1 + chance.next() % 3;
        std::int64_t confirmed = 0;
        for (std::uint64_t i = 0; i < count; ++i) confirmed += tick(number++).exit_code == 0 ? 1 : 0;
        CHECK(confirmed == static_cast<std::int64_t>(count));
        bool last_confirmed = false;
        if (round % 2 == 0) {
            std::thread command([&] { last_confirmed = tick(number).exit_code == 0; });
            spin(chance.next() % 10'000'000);
            node.kill_now();
            command.join();
        } else {
            node.kill_now();
        }
        const Found found = look_into(f.ada);
        CHECK(found.integrity == "ok");
        CHECK(found.broken_logs == 0);
        confirmed += last_confirmed ? 1 : 0;
        acknowledged += static_cast<int>(confirmed);
        lost += found.events < events + confirmed ? 1 : 0;
        events = found.events;
    }
    CHECK(lost == 0);
    MESSAGE("kill -9 of the program: rounds ", rounds, ", acknowledged ", acknowledged, ", lost ", lost,
            ", integrity ok ", rounds);
}
