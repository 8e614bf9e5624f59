#include "store/upkeep/instance.hpp"

#include <utility>

#include "store/upkeep/instance_notice.hpp"
#include "tests/support/store/kept_store.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

const std::filesystem::path water_file = "/mem/water";

// A store in memory, closed and opened again, its files put back to what they were.
struct Shelf {
    MemoryVfs memory;
    MemoryDisk disk;
    protocol::CircleId circle;

    Shelf() {
        KeptStore kept(disk, where());
        circle = kept.found("club");
        kept.write(circle, "one");
    }
    store::StoreFolder where() const { return {"/mem", memory.name()}; }
    void write(const std::string& text, std::uint64_t seed = 2) {
        KeptStore kept(disk, where(), seed);
        kept.write(circle, text);
    }
    Bytes database() const { return memory.bytes("/mem/store.db"); }
    void put_back(Bytes database) { memory.set_bytes("/mem/store.db", std::move(database)); }
};

std::int64_t number(KeptStore& kept, std::string_view sql) {
    std::int64_t out = -1;
    good(kept.db().query(sql, [&](const store::sqlite::Row& row) { out = row.integer(0); }));
    return out;
}

}  // namespace

TEST_CASE("a store that is closed and opened stays the same instance and goes on in its logs") {
    Shelf shelf;
    store::InstanceId first;
    {
        KeptStore kept(shelf.disk, shelf.where());
        first = kept.store().instance();
        CHECK(kept.store().notice().empty());
    }
    KeptStore kept(shelf.disk, shelf.where(), 3);
    kept.write(shelf.circle, "two");
    CHECK(kept.store().instance() == first);
    CHECK(kept.store().notice().empty());
    CHECK(number(kept, "SELECT count(*) FROM log") == 1);
}

TEST_CASE("a database put back to an older time is told, and goes on as another instance in new logs") {
    Shelf shelf;
    const Bytes older = shelf.database();
    shelf.write("two");
    const store::InstanceId before = KeptStore(shelf.disk, shelf.where()).store().instance();
    shelf.put_back(older);
    KeptStore kept(shelf.disk, shelf.where(), 4);
    CHECK(kept.store().instance() != before);
    CHECK(kept.store().notice().find("went back in time") != std::string::npos);
    CHECK(number(kept, "SELECT count(*) FROM log WHERE mine = 1 AND retired = 0") == 0);
    CHECK(good(store::instance_notice(kept.db())) == kept.store().notice());
    kept.write(shelf.circle, "another two");
    CHECK(number(kept, "SELECT count(*) FROM log WHERE mine = 1") == 2);
}

TEST_CASE("codes that were given out before a database was put back let nobody in") {
    Shelf shelf;
    {
        KeptStore kept(shelf.disk, shelf.where(), 2);
        give_out_codes(kept.db());
    }
    const Bytes older = shelf.database();
    shelf.write("two");
    shelf.put_back(older);
    KeptStore kept(shelf.disk, shelf.where(), 4);
    CHECK(kept.store().notice().find("let nobody in") != std::string::npos);
    CHECK(number(kept, "SELECT count(*) FROM invite WHERE used_by IS NULL") == 0);
    CHECK(number(kept, "SELECT count(*) FROM invite") == 1);
    CHECK(number(kept, "SELECT count(*) FROM courier_code") == 0);
}

TEST_CASE("a store that went back in time contradicts no peer and gets back what it lost") {
    Shelf shelf;
    EventLogNode peer(90);
    const Bytes older = shelf.database();
    {
        KeptStore kept(shelf.disk, shelf.where(), 2);
        kept.write(shelf.circle, "two");
        REQUIRE(carry_log(kept.log(), peer.log, shelf.circle));
    }
    shelf.put_back(older);
    KeptStore kept(shelf.disk, shelf.where(), 4);
    kept.write(shelf.circle, "written before the sync");
    CHECK(sync_logs(kept.log(), peer.log, shelf.circle));
    CHECK(root_at(kept.log(), shelf.circle) == root_at(peer.log, shelf.circle));
    CHECK(number(kept, "SELECT sum(next_seq) FROM log") == 4);
}

TEST_CASE("without its high-water record a store goes on as another instance") {
    Shelf shelf;
    const store::InstanceId before = KeptStore(shelf.disk, shelf.where()).store().instance();
    shelf.disk.files.erase(water_file);
    KeptStore kept(shelf.disk, shelf.where(), 4);
    CHECK(kept.store().instance() != before);
    CHECK(kept.store().notice().find("is gone") != std::string::npos);
}

TEST_CASE("a high-water record that lags behind is no alarm") {
    Shelf shelf;
    const Bytes lagging = shelf.disk.files[water_file];
    shelf.write("two");
    shelf.disk.files[water_file] = lagging;
    KeptStore kept(shelf.disk, shelf.where(), 4);
    CHECK(kept.store().notice().empty());
}

TEST_CASE("a copy that went on elsewhere is told from the store that was used here last") {
    Shelf shelf;
    const Bytes common = shelf.database();
    const Bytes common_record = shelf.disk.files[water_file];
    shelf.write("here", 5);
    const Bytes record = shelf.disk.files[water_file];
    shelf.put_back(common);
    shelf.disk.files[water_file] = common_record;
    shelf.write("elsewhere", 7);
    for (const char* text : {"", "elsewhere again"}) {
        CAPTURE(text);
        if (*text != '\0') shelf.write(text, 8);
        const Bytes elsewhere = shelf.database();
        const Bytes its_record = std::exchange(shelf.disk.files[water_file], record);
        {
            KeptStore kept(shelf.disk, shelf.where(), 9);
            CHECK(kept.store().notice().find("may be a copy") != std::string::npos);
        }
        shelf.put_back(elsewhere);
        shelf.disk.files[water_file] = its_record;
    }
}

TEST_CASE("whatever call to the disk fails while a store that went back opens, it never goes on in its old logs") {
    Shelf shelf;
    const Bytes older = shelf.database();
    shelf.write("two");
    const auto newer_files = shelf.disk.files;
    shelf.put_back(older);
    int calls = 0;
    {
        shelf.disk.fail_at(0);
        KeptStore counted(shelf.disk, shelf.where(), 4);
        calls = shelf.disk.calls();
    }
    REQUIRE(calls > 0);
    int opened = 0;
    for (int call = 1; call <= calls; ++call) {
        CAPTURE(call);
        shelf.disk.files = newer_files;
        shelf.put_back(older);
        SeededRandom random(static_cast<std::uint64_t>(100 + call));
        shelf.disk.fail_at(call);
        store::StoreFolder where = shelf.where();
        {
            auto tried = store::Store::open(shelf.disk, where, as_bytes(kept_passphrase), random, {});
            opened += tried.has_value() ? 1 : 0;
        }
        shelf.disk.fail_at(0);
        KeptStore kept(shelf.disk, where, static_cast<std::uint64_t>(200 + call));
        CHECK(number(kept, "SELECT count(*) FROM log WHERE mine = 1 AND retired = 0") == 0);
    }
    CHECK(opened > 0);
}

TEST_CASE("a step is stored also where its high-water record cannot be written") {
    Shelf shelf;
    {
        KeptStore kept(shelf.disk, shelf.where(), 2);
        shelf.disk.fail_at(1);
        kept.write(shelf.circle, "two");
    }
    shelf.disk.fail_at(0);
    KeptStore kept(shelf.disk, shelf.where(), 3);
    CHECK(number(kept, "SELECT sum(next_seq) FROM log") == 3);
    CHECK(kept.store().notice().empty());
}
