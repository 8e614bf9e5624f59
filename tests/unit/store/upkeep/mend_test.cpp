#include "store/upkeep/mend.hpp"

#include <set>

#include "store/settings/settings.hpp"
#include "store/upkeep/backup.hpp"
#include "store/upkeep/chain_check.hpp"
#include "tests/support/store/kept_store.hpp"
#include "tests/support/store/scant_disk.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

constexpr std::size_t page_bytes = 4096;

// Every page in a run that was asked for more than the usual, else every third.
std::size_t pages_between() {
    const char* size = std::getenv("LADDERLINE_TEST_SIZE");
    return size == nullptr || std::string_view(size) == "1" ? 3 : 1;
}

// A store whose events fill many pages, and a peer that holds them all.
struct Shelf {
    ScratchFolder folder;
    store::RealDisk disk;
    SeededRandom random{41};
    EventLogNode peer{42};
    protocol::CircleId circle;
    protocol::CircleId other;
    Bytes whole;
    std::uint64_t next_seed = 1000;  // no two openings draw the same

    Shelf() {
        {
            KeptStore kept(disk, {home(), {}});
            circle = kept.found("club");
            other = kept.found("another club");
            for (int i = 0; i < 40; ++i) kept.write(circle, std::string(300, 'a'));
            for (int i = 0; i < 20; ++i) kept.write(other, std::string(300, 'b'));
            REQUIRE(carry_log(kept.log(), peer.log, circle));
            REQUIRE(carry_log(kept.log(), peer.log, other));
        }
        whole = bytes_of_file(database());
    }
    std::filesystem::path home() const { return folder / "home"; }
    std::filesystem::path database() const { return home() / "store.db"; }
    std::size_t pages() const { return whole.size() / page_bytes; }

    // Page numbers, the first is 1.
    std::vector<std::size_t> pages_of(const std::string& name, const std::string& type) {
        KeptStore kept(disk, {home(), {}}, 2);
        std::vector<std::size_t> out;
        good(kept.db().query(
            "SELECT pageno FROM dbstat WHERE name = ?1 AND pagetype = ?2 ORDER BY path",
            [&](const store::sqlite::Row& row) { out.push_back(static_cast<std::size_t>(row.integer(0))); }, name,
            type));
        return out;
    }
    // The whole database, and nothing beside it that mending left.
    void put_back() {
        for (const auto& [name, bytes] : all_files(home())) {
            if (name.starts_with("store.db")) std::filesystem::remove(home() / name);
        }
        write_file(database(), whole);
    }
    void cut_to(std::size_t bytes) { std::filesystem::resize_file(database(), bytes); }
    std::vector<std::string> names_of_settings(std::uint64_t seed) {
        KeptStore kept(disk, {home(), {}}, seed);
        std::vector<std::string> out;
        good(kept.db().query("SELECT name FROM setting ORDER BY name",
                             [&](const store::sqlite::Row& row) { out.push_back(row.text(0)); }));
        return out;
    }
    void damage(const std::vector<std::size_t>& page_numbers) {
        Bytes bytes = bytes_of_file(database());
        for (const std::size_t page : page_numbers) bytes[(page - 1) * page_bytes + 2000] ^= 1;
        write_file(database(), bytes);
    }
    Result<store::MendReport> mend(const store::Progress& progress = {}) {
        return store::mend(disk, home(), store::vault::SlotType::passphrase, as_bytes(kept_passphrase), random, {},
                           progress);
    }
    // After a sync with the peer both hold the same, and no log contradicts another.
    void sync_again() {
        KeptStore kept(disk, {home(), {}}, next_seed++);
        // Without the keys to a circle, nothing is said in it until a peer grants them again.
        if (kept.log().current_key(circle)) kept.write(circle, "written before the sync");
        for (const protocol::CircleId& each : {circle, other}) {
            CHECK(sync_logs(kept.log(), peer.log, each));
            CHECK(root_at(kept.log(), each) == root_at(peer.log, each));
        }
        store::ChainCheck check(kept.db());
        for (bool more = true; more;) more = good(check.step(100));
        CHECK(check.report().is_sound());
        CHECK(good(store::check_tables(kept.db(), {})) == "ok");
    }
};

bool says(const Error& error, std::string_view part) {
    return error.sentence().find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("with an event page and an index page damaged a store keeps the rest, and a peer brings back what is lost") {
    Shelf shelf;
    const auto events = shelf.pages_of("event", "leaf");
    const auto index = shelf.pages_of("log_by_arrival", "leaf");
    REQUIRE(events.size() > 4);
    REQUIRE_FALSE(index.empty());
    shelf.whole = bytes_of_file(shelf.database());
    shelf.damage({events[3], index.front()});
    const Bytes damaged = bytes_of_file(shelf.database());
    const store::MendReport report = good(shelf.mend());
    CHECK(report.lost() > 0);
    REQUIRE(report.circles.size() == 2);
    CHECK(report.circles[0].kept + report.circles[1].kept + report.lost() == 62);
    CHECK(report.circles[0].kept + report.circles[1].kept > 20);
    CHECK(report.tables_short.empty());
    CHECK(bytes_of_file(report.kept_as) == damaged);
    shelf.sync_again();
}

TEST_CASE("with only an index damaged nothing is lost") {
    Shelf shelf;
    shelf.damage({shelf.pages_of("log_by_arrival", "leaf").front()});
    CHECK(good(shelf.mend()).lost() == 0);
    shelf.sync_again();
}

TEST_CASE("codes that were given out let nobody into a mended store") {
    Shelf shelf;
    {
        KeptStore kept(shelf.disk, {shelf.home(), {}}, 2);
        give_out_codes(kept.db());
    }
    shelf.damage({shelf.pages_of("log_by_arrival", "leaf").front()});
    good(shelf.mend());
    KeptStore mended(shelf.disk, {shelf.home(), {}}, 3);
    std::int64_t open_codes = -1;
    good(mended.db().query(
        "SELECT (SELECT count(*) FROM invite WHERE used_by IS NULL) + (SELECT count(*) FROM courier_code)",
        [&](const store::sqlite::Row& row) { open_codes = row.integer(0); }));
    CHECK(open_codes == 0);
}

TEST_CASE("with the list of logs damaged a peer brings back all events") {
    Shelf shelf;
    shelf.damage(shelf.pages_of("log", "leaf"));
    const store::MendReport report = good(shelf.mend());
    CHECK(report.logs_lost == 2);
    shelf.sync_again();
}

TEST_CASE("whichever page is damaged, a store is mended, or says why not and stays as it is") {
    Shelf shelf;
    int mended = 0;
    int refused = 0;
    for (std::size_t page = 1; page <= shelf.pages(); page += pages_between()) {
        CAPTURE(page);
        shelf.put_back();
        shelf.damage({page});
        const auto before = all_files(shelf.home());
        const auto outcome = shelf.mend();
        if (outcome) {
            ++mended;
            shelf.sync_again();
            continue;
        }
        ++refused;
        CHECK(outcome.error().fault() != Fault::bad_input);
        CHECK_FALSE(says(outcome.error(), "ladderline mend"));
        auto after = all_files(shelf.home());
        CHECK(after == before);
    }
    CHECK(mended > refused);
}

TEST_CASE("with a page of a long setting damaged the owner's keys and all other settings are kept") {
    Shelf shelf;
    {
        KeptStore kept(shelf.disk, {shelf.home(), {}}, 2);
        good(store::put_setting(kept.db(), "figure:map", Bytes(40'000, 7)));
        good(store::put_text_setting(kept.db(), "zone", "behind all others"));
    }
    std::vector<std::string> names = shelf.names_of_settings(3);
    std::erase(names, "figure:map");
    const auto pages = shelf.pages_of("setting", "overflow");
    REQUIRE(pages.size() > 4);
    shelf.damage({pages[pages.size() / 2]});
    const store::MendReport report = good(shelf.mend());
    CHECK(report.tables_short == std::vector<std::string>{"setting"});
    CHECK(report.lost() == 0);
    CHECK(shelf.names_of_settings(4) == names);
    shelf.sync_again();
}

TEST_CASE("a file cut off at its end is mended, within a page or between two, and is kept as it was") {
    Shelf shelf;
    for (const std::size_t gone : {std::size_t{100}, page_bytes, 5 * page_bytes + 100}) {
        CAPTURE(gone);
        shelf.put_back();
        shelf.cut_to(shelf.whole.size() - gone);
        const Bytes damaged = bytes_of_file(shelf.database());
        const store::MendReport report = good(shelf.mend());
        REQUIRE(report.circles.size() == 2);
        CHECK(report.circles[0].kept + report.circles[1].kept > 10);
        CHECK(bytes_of_file(report.kept_as) == damaged);
        shelf.sync_again();
    }
}

TEST_CASE("a file cut off in pages that nothing uses loses nothing by mending") {
    Shelf shelf;
    for (const bool there : {true, false}) {
        KeptStore kept(shelf.disk, {shelf.home(), {}}, there ? 2 : 3);
        if (there) good(store::put_setting(kept.db(), "figure:map", Bytes(40'000, 7)));
        if (!there) good(store::forget_setting(kept.db(), "figure:map"));
    }
    shelf.cut_to(std::filesystem::file_size(shelf.database()) - page_bytes);
    const store::MendReport report = good(shelf.mend());
    CHECK(report.lost() == 0);
    CHECK(report.tables_short.empty());
    shelf.sync_again();
}

TEST_CASE("wherever a file is cut off it is mended, or it is said why not, and to mend it is never the advice") {
    Shelf shelf;
    int mended = 0;
    for (std::size_t pages = 0; pages < shelf.pages(); pages += pages_between()) {
        CAPTURE(pages);
        shelf.put_back();
        shelf.cut_to(pages * page_bytes);
        const auto before = all_files(shelf.home());
        const auto outcome = shelf.mend();
        if (outcome) {
            ++mended;
            shelf.sync_again();
            continue;
        }
        CHECK_FALSE(says(outcome.error(), "ladderline mend"));
        CHECK(says(outcome.error(), "Restore a backup"));
        CHECK(all_files(shelf.home()) == before);
    }
    CHECK(mended > 0);
}

TEST_CASE("of a store whose database file is empty it is said that its keys are there") {
    Shelf shelf;
    shelf.cut_to(0);
    CHECK(says(shelf.mend().error(), "The keys of a store are here, but its database file is empty or gone"));
}

TEST_CASE("a second mending while one is at work is refused, and the first comes to its end") {
    Shelf shelf;
    shelf.damage({shelf.pages_of("event", "leaf")[2]});
    std::optional<Fault> second;
    const auto first = shelf.mend([&](std::uint64_t, std::uint64_t) {
        if (!second) second = shelf.mend().error().fault();
        return true;
    });
    CHECK(second == Fault::busy);
    CHECK(first.has_value());
    shelf.sync_again();
}

TEST_CASE("a store that is whole is not mended") {
    Shelf shelf;
    const auto before = all_files(shelf.home());
    CHECK(shelf.mend().error().fault() == Fault::refused);
    CHECK(all_files(shelf.home()) == before);
}

TEST_CASE("mending that is stopped, wherever, leaves the store as it was") {
    Shelf shelf;
    shelf.damage({shelf.pages_of("event", "leaf")[2]});
    const auto before = all_files(shelf.home());
    int questions = 0;
    for (int at = 1;; ++at) {
        int left = at;
        const auto outcome = shelf.mend([&left](std::uint64_t, std::uint64_t) { return --left > 0; });
        if (outcome) break;
        ++questions;
        CHECK(outcome.error().fault() == Fault::cancelled);
        REQUIRE(all_files(shelf.home()) == before);
    }
    CHECK(questions >= 2);
}

TEST_CASE("wherever the disk is full for the new file, a store is left as it was, and told so") {
    Shelf shelf;
    const auto page = shelf.pages_of("event", "leaf")[2];
    shelf.whole = bytes_of_file(shelf.database());
    bool mended = false;
    for (std::size_t room = 2; !mended; room += 9) {
        CAPTURE(room);
        shelf.put_back();
        shelf.damage({page});
        const auto before = all_files(shelf.home());
        const ScantDisk scant("store.db.mending", static_cast<off_t>(room * page_bytes));
        const auto outcome = shelf.mend();
        mended = scant.refused() == 0;
        REQUIRE(outcome.has_value() == mended);
        if (mended) break;
        CHECK(outcome.error().fault() == Fault::disk);
        REQUIRE(all_files(shelf.home()) == before);
    }
    shelf.sync_again();
}

TEST_CASE("what is said after mending goes into new logs") {
    Shelf shelf;
    shelf.damage({shelf.pages_of("event", "leaf")[2]});
    good(shelf.mend());
    KeptStore kept(shelf.disk, {shelf.home(), {}}, 6);
    const std::size_t before = good(kept.log().heads(shelf.circle)).size();
    kept.write(shelf.circle, "new");
    CHECK(good(kept.log().heads(shelf.circle)).size() == before + 1);
}

TEST_CASE("the second damaged file is kept beside the first") {
    Shelf shelf;
    shelf.damage({shelf.pages_of("event", "leaf")[2]});
    good(shelf.mend());
    shelf.damage({shelf.pages_of("log_by_arrival", "leaf").front()});
    const store::MendReport second = good(shelf.mend());
    CHECK(second.kept_as.filename() == "store.db.damaged-2");
    CHECK(std::filesystem::exists(shelf.home() / "store.db.damaged-1"));
}

TEST_CASE("a log that cannot be read is kept aside, and the store has what its last checkpoint had") {
    Shelf shelf;
    const Bytes noise(8000, 0x5A);
    write_file(shelf.home() / "store.db-wal", noise);
    const store::MendReport report = good(shelf.mend());
    CHECK(report.lost() == 0);
    CHECK(bytes_of_file(report.kept_as.string() + "-wal") == noise);
    shelf.sync_again();
}

TEST_CASE("where the keys to the circles are lost the events are kept, and the report says so") {
    Shelf shelf;
    shelf.damage(shelf.pages_of("epoch_key", "leaf"));
    const store::MendReport report = good(shelf.mend());
    CHECK(report.tables_short == std::vector<std::string>{"epoch_key"});
    CHECK(report.lost() == 0);
    shelf.sync_again();
}
