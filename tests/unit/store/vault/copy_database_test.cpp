#include "store/vault/copy_database.hpp"

#include <doctest/doctest.h>

#include "store/vault/layout.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;

namespace {

const std::string copy_file = "/mem/copy.db";

struct Bench {
    VaultBox box;
    sqlite::Database database = box.must_open(true);
    SeededRandom random{31};
    protocol::AeadKey new_key = protocol::AeadKey::random(random);

    Bench() {
        must(database.execute("CREATE TABLE t(id INTEGER PRIMARY KEY, v BLOB) STRICT"));
        for (int i = 0; i < 100; ++i) must(database.run("INSERT INTO t(v) VALUES (zeroblob(1000))"));
    }
    Result<void> copy() {
        return vault::copy_database(database, VaultBox::key(), copy_file, new_key, {false, box.memory.name(), random});
    }
    Result<sqlite::Database> open_copy(const protocol::AeadKey& key) {
        return vault::open_database(copy_file, key, {false, box.memory.name(), random});
    }
};

}  // namespace

TEST_CASE("a copy holds everything, under its own key, and the store goes on") {
    Bench bench;
    must(bench.copy());
    {
        sqlite::Database copy = std::move(bench.open_copy(bench.new_key)).value();
        CHECK(number(copy, "SELECT count(*) FROM t") == 100);
        CHECK(test::text(copy, "PRAGMA integrity_check") == "ok");
    }
    CHECK(bench.open_copy(VaultBox::key()).error().fault() == Fault::wrong_key);
    must(bench.database.run("INSERT INTO t(v) VALUES (zeroblob(1000))"));
    CHECK(bench.box.open().error().fault() == Fault::busy);
}

TEST_CASE("a copy shares no sealed page with its source") {
    Bench bench;
    must(bench.copy());
    const Bytes source = bench.box.memory.bytes(store_file);
    const Bytes copy = bench.box.memory.bytes(copy_file);
    REQUIRE(copy.size() == source.size());
    int same = 0;
    for (std::size_t at = 0; at < copy.size(); at += vault::page_bytes) {
        const auto from = copy.begin() + static_cast<std::ptrdiff_t>(at + 24);
        same += std::equal(from, from + 64, source.begin() + static_cast<std::ptrdiff_t>(at + 24)) ? 1 : 0;
    }
    CHECK(same == 0);
}

TEST_CASE("a copy does not write over a file") {
    Bench bench;
    bench.box.memory.set_bytes(copy_file, Bytes{1, 2, 3});
    CHECK(bench.copy().error().fault() == Fault::refused);
    CHECK(bench.box.memory.bytes(copy_file) == Bytes{1, 2, 3});
}

TEST_CASE("a damaged page stops the copy, and none is left behind") {
    Bench bench;
    must(bench.database.execute("PRAGMA wal_checkpoint(TRUNCATE)"));
    Bytes raw = bench.box.memory.bytes(store_file);
    raw[5 * vault::page_bytes + 77] ^= 1;
    bench.box.memory.set_bytes(store_file, raw);
    CHECK(bench.copy().error().fault() == Fault::damaged);
    CHECK_FALSE(bench.box.memory.exists(copy_file));
}

TEST_CASE("a full disk stops the copy at any call, and none is left behind") {
    for (std::int64_t at = 1; at <= 6; ++at) {
        CAPTURE(at);
        Bench bench;
        must(bench.database.execute("PRAGMA wal_checkpoint(TRUNCATE)"));
        // Room comes back only after the failed call, so that the half copy can be taken away.
        bench.box.memory.arm(DiskFault::io_error, at, false);
        const Result<void> outcome = bench.copy();
        bench.box.memory.disarm();
        if (!outcome) CHECK_FALSE(bench.box.memory.exists(copy_file));
        sqlite::Database* source = &bench.database;
        CHECK(number(*source, "SELECT count(*) FROM t") == 100);
    }
}
