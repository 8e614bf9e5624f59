#include "store/upkeep/backup.hpp"

#include "tests/support/store/kept_store.hpp"
#include "tests/support/store/scant_disk.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

struct Shelf {
    ScratchFolder folder;
    store::RealDisk disk;
    SeededRandom random{21};
    protocol::CircleId circle;

    Shelf() {
        KeptStore kept(disk, {home(), {}});
        circle = kept.found("club");
        for (int i = 0; i < 5; ++i) kept.write(circle, "note");
    }
    std::filesystem::path home() const { return folder / "home"; }
    std::filesystem::path backup() const { return folder / "backup"; }
    std::filesystem::path fresh() const { return folder / "fresh"; }

    Result<store::BackupReport> back_up(const store::Progress& progress = {}) {
        KeptStore kept(disk, {home(), {}}, 2);
        return store::back_up(kept.store(), disk, backup(), random, progress);
    }
    // The folder of a store in use, copied by other means.
    void copy_in_use(int notes) {
        KeptStore kept(disk, {home(), {}}, 2);
        for (int i = 0; i < notes; ++i) kept.write(circle, std::string(300, 'n'));
        std::filesystem::copy(home(), backup());
    }
    Result<store::BackupReport> restore(std::string_view passphrase = kept_passphrase,
                                        const store::Progress& progress = {}) {
        return store::restore(disk, backup(), fresh(), store::vault::SlotType::passphrase, as_bytes(passphrase), random,
                              progress);
    }
};

store::Progress stop_at(int& left) {
    return [&left](std::uint64_t, std::uint64_t) { return --left > 0; };
}

}  // namespace

TEST_CASE("a backup holds what the store holds, opens with its passphrase, and shows no event in clear") {
    Shelf shelf;
    const store::BackupReport report = good(shelf.back_up());
    CHECK(report.events == 6);
    const auto files = all_files(shelf.backup());
    CHECK(files.size() == 3);
    CHECK(files.contains("keys"));
    CHECK(files.contains("keys.copy"));
    CHECK(report.bytes == files.at("store.db").size());
}

TEST_CASE("a restored store holds everything and goes on as another instance, in new logs") {
    Shelf shelf;
    good(shelf.back_up());
    store::InstanceId first;
    protocol::Root root;
    {
        KeptStore kept(shelf.disk, {shelf.home(), {}}, 3);
        first = kept.store().instance();
        root = root_at(kept.log(), shelf.circle);
    }
    CHECK(good(shelf.restore()).events == 6);
    KeptStore restored(shelf.disk, {shelf.fresh(), {}}, 4);
    CHECK(restored.store().instance() != first);
    CHECK(root_at(restored.log(), shelf.circle) == root);
    restored.write(shelf.circle, "after");
    CHECK(good(restored.log().heads(shelf.circle)).size() == 2);
}

TEST_CASE("codes that were given out before the backup let nobody into a restored store") {
    Shelf shelf;
    {
        KeptStore kept(shelf.disk, {shelf.home(), {}}, 2);
        give_out_codes(kept.db());
    }
    good(shelf.back_up());
    good(shelf.restore());
    KeptStore restored(shelf.disk, {shelf.fresh(), {}}, 4);
    std::int64_t open_codes = -1;
    good(restored.db().query(
        "SELECT (SELECT count(*) FROM invite WHERE used_by IS NULL) + (SELECT count(*) FROM courier_code)",
        [&](const store::sqlite::Row& row) { open_codes = row.integer(0); }));
    CHECK(open_codes == 0);
}

TEST_CASE("a store restored from an old backup and its old self never contradict each other") {
    Shelf shelf;
    good(shelf.back_up());
    good(shelf.restore());
    KeptStore old_self(shelf.disk, {shelf.home(), {}}, 5);
    old_self.write(shelf.circle, "the old one goes on");
    KeptStore restored(shelf.disk, {shelf.fresh(), {}}, 6);
    restored.write(shelf.circle, "the restored one as well");
    CHECK(sync_logs(old_self.log(), restored.log(), shelf.circle));
    CHECK(root_at(old_self.log(), shelf.circle) == root_at(restored.log(), shelf.circle));
}

TEST_CASE("a backup used as a store as it lies goes on as another instance") {
    Shelf shelf;
    good(shelf.back_up());
    KeptStore kept(shelf.disk, {shelf.backup(), {}}, 7);
    CHECK_FALSE(kept.store().notice().empty());
}

TEST_CASE("a folder that holds anything takes no backup and stays as it is") {
    Shelf shelf;
    std::filesystem::create_directories(shelf.backup() / "photographs");
    CHECK(shelf.back_up().error().fault() == Fault::refused);
    CHECK(all_files(shelf.backup()).empty());
    CHECK(std::filesystem::exists(shelf.backup() / "photographs"));
}

TEST_CASE("an empty folder takes a backup") {
    Shelf shelf;
    std::filesystem::create_directories(shelf.backup());
    CHECK(shelf.back_up().has_value());
}

TEST_CASE("a backup that is stopped, wherever, leaves nothing") {
    Shelf shelf;
    int questions = 0;
    for (int at = 1;; ++at) {
        int left = at;
        const auto outcome = shelf.back_up(stop_at(left));
        if (outcome) break;
        ++questions;
        CHECK(outcome.error().fault() == Fault::cancelled);
        REQUIRE_FALSE(std::filesystem::exists(shelf.backup()));
    }
    CHECK(questions > 5);
}

TEST_CASE("a backup in parts is the store as it was when it began, and the store goes on meanwhile") {
    Shelf shelf;
    {
        KeptStore kept(shelf.disk, {shelf.home(), {}}, 2);
        const auto work = good(store::BackupWork::begin(kept.store(), shelf.disk, shelf.backup(), shelf.random));
        const Bytes before = bytes_of_file(shelf.home() / "store.db");
        for (int i = 0; i < 300; ++i) kept.write(shelf.circle, "meanwhile");  // more pages of log than are ever left
        CHECK(bytes_of_file(shelf.home() / "store.db") == before);
        good(work->copy({}));
        CHECK(good(work->finish()).events == 6);
    }
    good(shelf.restore());
    KeptStore restored(shelf.disk, {shelf.fresh(), {}}, 3);
    std::int64_t events = 0;
    good(restored.db().query("SELECT count(*) FROM event",
                             [&](const store::sqlite::Row& row) { events = row.integer(0); }));
    CHECK(events == 6);
}

TEST_CASE("after a backup in parts the log is emptied into the database as before") {
    Shelf shelf;
    KeptStore kept(shelf.disk, {shelf.home(), {}}, 2);
    const auto log_bytes = [&] { return bytes_of_file(shelf.home() / "store.db-wal").size(); };
    {
        const auto work = good(store::BackupWork::begin(kept.store(), shelf.disk, shelf.backup(), shelf.random));
        for (int i = 0; i < 300; ++i) kept.write(shelf.circle, "meanwhile");
    }
    CHECK_FALSE(std::filesystem::exists(shelf.backup()));
    const Bytes before = bytes_of_file(shelf.home() / "store.db");
    kept.write(shelf.circle, "afterwards");
    CHECK(bytes_of_file(shelf.home() / "store.db") != before);
    CHECK(log_bytes() < 8U << 20);
}

TEST_CASE("a restore that is stopped, wherever, leaves nothing") {
    Shelf shelf;
    good(shelf.back_up());
    const auto before = all_files(shelf.backup());
    int questions = 0;
    for (int at = 1;; ++at) {
        int left = at;
        const auto outcome = shelf.restore(kept_passphrase, stop_at(left));
        if (outcome) break;
        ++questions;
        CHECK(outcome.error().fault() == Fault::cancelled);
        REQUIRE_FALSE(std::filesystem::exists(shelf.fresh()));
    }
    CHECK(questions > 2);
    CHECK(all_files(shelf.backup()) == before);
}

TEST_CASE("a folder copied from a store in use is restored with what was in its log") {
    Shelf shelf;
    shelf.copy_in_use(40);
    REQUIRE(std::filesystem::file_size(shelf.backup() / "store.db-wal") > 40 * 4096);
    CHECK(good(shelf.restore()).events == 46);
    CHECK(all_files(shelf.fresh()).size() == 3);
}

TEST_CASE("a folder copied from a store under a new data key is restored") {
    Shelf shelf;
    {
        auto store =
            good(store::Store::open(shelf.disk, {shelf.home(), {}}, as_bytes(kept_passphrase), shelf.random, {}));
        const store::vault::SlotSecret secrets[] = {
            {store::vault::SlotType::passphrase, as_bytes(kept_passphrase), cheap_passphrase()}};
        good(store::Store::renew_data_key(std::move(store), shelf.disk, secrets, shelf.random));
    }
    shelf.copy_in_use(2);
    REQUIRE_FALSE(std::filesystem::exists(shelf.backup() / "store.db"));
    CHECK(good(shelf.restore()).events == 8);
    CHECK(std::filesystem::exists(shelf.fresh() / "store.db"));
    CHECK(all_files(shelf.fresh()).size() == 3);
}

TEST_CASE("where the disk is full for what was in the log nothing is restored, and it is told so") {
    Shelf shelf;
    shelf.copy_in_use(40);
    const auto room = static_cast<off_t>(std::filesystem::file_size(shelf.backup() / "store.db"));
    const ScantDisk scant("store.db.restoring", room);
    const auto outcome = shelf.restore();
    REQUIRE(scant.refused() > 0);
    REQUIRE_FALSE(outcome.has_value());
    CHECK(outcome.error().fault() == Fault::disk);
    CHECK_FALSE(std::filesystem::exists(shelf.fresh()));
}

TEST_CASE("a wrong passphrase restores nothing") {
    Shelf shelf;
    good(shelf.back_up());
    CHECK(shelf.restore("other words").error().fault() == Fault::wrong_key);
    CHECK_FALSE(std::filesystem::exists(shelf.fresh()));
}

TEST_CASE("a backup with any damaged page restores nothing") {
    Shelf shelf;
    good(shelf.back_up());
    const Bytes whole = bytes_of_file(shelf.backup() / "store.db");
    for (std::size_t page = 0; page < whole.size() / 4096; page += 3) {
        CAPTURE(page);
        Bytes damaged = whole;
        damaged[page * 4096 + 100] ^= 1;
        write_file(shelf.backup() / "store.db", damaged);
        CHECK(shelf.restore().error().fault() == Fault::damaged);
        CHECK_FALSE(std::filesystem::exists(shelf.fresh()));
    }
}

TEST_CASE("no store is restored over another") {
    Shelf shelf;
    good(shelf.back_up());
    const auto before = all_files(shelf.home());
    CHECK(store::restore(shelf.disk, shelf.backup(), shelf.home(), store::vault::SlotType::passphrase,
                         as_bytes(kept_passphrase), shelf.random, {})
              .error()
              .fault() == Fault::refused);
    CHECK(all_files(shelf.home()) == before);
}

TEST_CASE("no store is restored beside the log that another one left") {
    Shelf shelf;
    good(shelf.back_up());
    for (const std::string name : {"store.db-wal", "store.2.db-wal"}) {
        CAPTURE(name);
        std::filesystem::create_directories(shelf.fresh());
        write_file(shelf.fresh() / name, Bytes(8000, 0x5A));
        const auto before = all_files(shelf.fresh());
        const auto outcome = shelf.restore();
        REQUIRE_FALSE(outcome.has_value());
        CHECK(outcome.error().fault() == Fault::refused);
        CHECK(outcome.error().sentence().find(name) != std::string::npos);
        CHECK(all_files(shelf.fresh()) == before);
        std::filesystem::remove_all(shelf.fresh());
    }
}

TEST_CASE("a folder without a backup restores nothing") {
    Shelf shelf;
    CHECK(shelf.restore().error().fault() == Fault::not_found);
}
