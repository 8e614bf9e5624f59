#include "store/vault/main_file.hpp"

#include <doctest/doctest.h>

#include <numeric>

#include "tests/support/store/provokes_refusals.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store::vault;
using namespace ladderline::test;

namespace {

constexpr std::int64_t page_size = 4096;

// A database file of one page, opened below SQLite.
struct Bench {
    SeededRandom random{4};
    protocol::AeadKey key = VaultBox::key();
    FileHeader header = make_file_header(key, random);
    VaultKeys keys{header, key, random};
    MemoryVfs memory;
    MainFile file = open();

    Bench() { REQUIRE(file.write(0, empty_database_page()) == SQLITE_OK); }

    MainFile open() {
        int code = SQLITE_OK;
        BaseFile base = BaseFile::open(sqlite3_vfs_find(memory.name().c_str()), store_file.c_str(),
                                       SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_MAIN_DB, nullptr, code);
        REQUIRE(code == SQLITE_OK);
        return MainFile(std::move(base), keys);
    }

    PlainPage page() {
        PlainPage out{};
        random.fill(MutableByteView(out).first(body_bytes));
        return out;
    }
    void put(std::uint32_t page_number, const PlainPage& plain) {
        REQUIRE(file.write((page_number - 1) * page_size, plain) == SQLITE_OK);
    }
    void flush() { REQUIRE(file.sync(SQLITE_SYNC_NORMAL) == SQLITE_OK); }
};

}  // namespace

TEST_CASE("any part of a page reads as the same part of what was written") {
    Bench bench;
    const PlainPage plain = bench.page();
    bench.put(2, plain);
    struct Case {
        std::size_t at;
        std::size_t length;
    };
    // The last three: what SQLite asks of overflow pages, and edges.
    for (const Case c : {Case{0, 4096}, Case{24, 16}, Case{0, 100}, Case{4, 4052}, Case{4095, 1}, Case{0, 1}}) {
        CAPTURE(c.at);
        CAPTURE(c.length);
        Bytes out(c.length, 0xee);
        REQUIRE(bench.file.read(page_size + static_cast<std::int64_t>(c.at), out) == SQLITE_OK);
        CHECK(std::equal(out.begin(), out.end(), plain.begin() + static_cast<std::ptrdiff_t>(c.at)));
    }
}

TEST_CASE("pages left out by SQLite are sealed, so that they read as zeros and not as damage") {
    Bench bench;
    bench.put(5, bench.page());
    bench.flush();
    PlainPage out;
    for (std::uint32_t page_number = 2; page_number <= 4; ++page_number) {
        CAPTURE(page_number);
        CHECK(bench.file.read((page_number - 1) * page_size, out) == SQLITE_OK);
        CHECK(all_zero(out));
        const Bytes raw = bench.memory.bytes(store_file);
        CHECK_FALSE(all_zero(ByteView(raw).subspan((page_number - 1) * page_bytes, page_bytes)));
    }
}

TEST_CASE("a page of zeros inside the file is damage, past its end it is the end") {
    Bench bench;
    bench.put(2, bench.page());
    bench.put(3, bench.page());
    bench.flush();
    Bytes raw = bench.memory.bytes(store_file);
    std::fill_n(raw.begin() + page_size, page_bytes, std::uint8_t{0});
    bench.memory.set_bytes(store_file, raw);
    PlainPage out;
    out.fill(0xee);
    CHECK(bench.file.read(page_size, out) == SQLITE_IOERR_DATA);
    CHECK(all_zero(out));
    CHECK(bench.file.read(3 * page_size, out) == SQLITE_IOERR_SHORT_READ);
    CHECK(all_zero(out));
}

TEST_CASE("a page cut off in the middle is damage") {
    Bench bench;
    bench.put(2, bench.page());
    bench.flush();
    Bytes raw = bench.memory.bytes(store_file);
    raw.pop_back();
    bench.memory.set_bytes(store_file, raw);
    PlainPage out;
    CHECK(bench.file.read(page_size, out) == SQLITE_IOERR_DATA);
}

TEST_CASE("of a torn page 1 the first 100 bytes still say what SQLite must know to look into the log") {
    Bench bench;
    bench.flush();
    Bytes raw = bench.memory.bytes(store_file);
    std::fill(raw.begin() + 512, raw.end(), std::uint8_t{0});
    bench.memory.set_bytes(store_file, raw);
    Bytes first(100, 0xee);
    CHECK(bench.file.read(0, first) == SQLITE_OK);
    CHECK(std::equal(sqlite_header.begin(), sqlite_header.end(), first.begin()));
    CHECK(all_zero(ByteView(first).subspan(header_bytes)));
    PlainPage whole;
    CHECK(bench.file.read(0, whole) == SQLITE_IOERR_DATA);
    Bytes counter(16);
    CHECK(bench.file.read(24, counter) == SQLITE_IOERR_DATA);
}

TEST_CASE("two pages swapped on the disk are damage") {
    Bench bench;
    bench.put(2, bench.page());
    bench.put(3, bench.page());
    bench.flush();
    Bytes raw = bench.memory.bytes(store_file);
    std::swap_ranges(raw.begin() + page_size, raw.begin() + 2 * page_size, raw.begin() + 2 * page_size);
    bench.memory.set_bytes(store_file, raw);
    PlainPage out;
    CHECK(bench.file.read(page_size, out) == SQLITE_IOERR_DATA);
    CHECK(bench.file.read(2 * page_size, out) == SQLITE_IOERR_DATA);
}

TEST_CASE("a page from another store under the same data key is damage") {
    Bench bench;
    Bench other;
    other.header = make_file_header(other.key, bench.random);
    VaultKeys other_keys(other.header, other.key, bench.random);
    int code = SQLITE_OK;
    BaseFile base = BaseFile::open(sqlite3_vfs_find(other.memory.name().c_str()), "/mem/other.db",
                                   SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, nullptr, code);
    MainFile foreign(std::move(base), other_keys);
    REQUIRE(foreign.write(0, empty_database_page()) == SQLITE_OK);
    REQUIRE(foreign.write(page_size, bench.page()) == SQLITE_OK);
    REQUIRE(foreign.sync(0) == SQLITE_OK);
    bench.put(2, bench.page());
    bench.flush();
    Bytes raw = bench.memory.bytes(store_file);
    const Bytes taken = other.memory.bytes("/mem/other.db");
    std::copy_n(taken.begin() + page_size, page_bytes, raw.begin() + page_size);
    bench.memory.set_bytes(store_file, raw);
    PlainPage out;
    CHECK(bench.file.read(page_size, out) == SQLITE_IOERR_DATA);
}

TEST_CASE("anything but a whole page that keeps the rules is refused, and counted" *
          doctest::description(provokes_refusals)) {
    Bench bench;
    PlainPage with_reserved_bytes = bench.page();
    with_reserved_bytes[4095] = 1;
    const std::int64_t before = refusals;
    CHECK(bench.file.write(page_size + 1, bench.page()) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.write(page_size, ByteView(bench.page()).first(512)) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.write(page_size, Bytes(8192)) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.write(page_size, with_reserved_bytes) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.write(0, bench.page()) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.write(-page_size, bench.page()) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.truncate(100) == SQLITE_IOERR_TRUNCATE);
    CHECK(bench.file.truncate(0) == SQLITE_IOERR_TRUNCATE);
    Bytes across(100);
    CHECK(bench.file.read(4090, across) == SQLITE_IOERR_READ);
    CHECK(refusals - before == 9);
    bench.flush();
    CHECK(bench.memory.bytes(store_file).size() == page_bytes);
}

TEST_CASE("a sealed page is taken as it is only if the log handed it out for this page in this checkpoint" *
          doctest::description(provokes_refusals)) {
    Bench bench;
    const PlainPage plain = bench.page();
    PlainPage sealed;
    PlainPage other;
    bench.keys.codec.seal(2, plain, bench.keys.nonces, sealed);
    bench.keys.codec.seal(2, plain, bench.keys.nonces, other);
    PlainPage shown{};
    bench.keys.checkpoint.begin();
    bench.keys.checkpoint.hand_out(2, sealed, shown);
    CHECK(bench.file.write(page_size, shown) == SQLITE_OK);
    CHECK(bench.file.write(page_size, other) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.write(2 * page_size, shown) == SQLITE_IOERR_WRITE);
    bench.file.checkpoint(false);
    CHECK(bench.file.write(page_size, shown) == SQLITE_IOERR_WRITE);

    bench.flush();
    const Bytes raw = bench.memory.bytes(store_file);
    CHECK(raw.size() == 2 * page_bytes);
    CHECK(std::equal(sealed.begin(), sealed.end(), raw.begin() + page_size));
}

TEST_CASE("a clear page written during a checkpoint is sealed") {
    Bench bench;
    bench.file.checkpoint(true);
    const PlainPage plain = bench.page();
    bench.put(2, plain);
    PlainPage out;
    REQUIRE(bench.file.read(page_size, out) == SQLITE_OK);
    CHECK(out == plain);
}

TEST_CASE("pages asked for in order come with few reads, and are those last written") {
    Bench bench;
    std::vector<PlainPage> pages;
    for (std::uint32_t page_number = 2; page_number <= 41; ++page_number) {
        pages.push_back(bench.page());
        bench.put(page_number, pages.back());
    }
    bench.flush();
    bench.memory.arm(DiskFault::none, 0, false);
    const auto check_from = [&](std::uint32_t first) {
        for (std::uint32_t page_number = first; page_number <= 41; ++page_number) {
            CAPTURE(page_number);
            PlainPage out;
            REQUIRE(bench.file.read((page_number - 1) * page_size, out) == SQLITE_OK);
            CHECK(out == pages[page_number - 2]);
        }
    };
    check_from(2);
    CHECK(bench.memory.calls() == 6);  // one, then eight at a time
    pages[20] = bench.page();
    bench.put(22, pages[20]);
    check_from(20);
    PlainPage out;
    CHECK(bench.file.read(41 * page_size, out) == SQLITE_IOERR_SHORT_READ);
}

TEST_CASE("pages read ahead are gone after a truncation") {
    Bench bench;
    for (std::uint32_t page_number = 2; page_number <= 9; ++page_number) bench.put(page_number, bench.page());
    bench.flush();
    PlainPage out;
    for (int i = 1; i <= 4; ++i) REQUIRE(bench.file.read(i * page_size, out) == SQLITE_OK);
    REQUIRE(bench.file.truncate(5 * page_size) == SQLITE_OK);
    CHECK(bench.file.read(5 * page_size, out) == SQLITE_IOERR_SHORT_READ);
}

TEST_CASE("pages in a row leave in writes of at most 120 KiB") {
    Bench bench;
    bench.flush();
    bench.memory.arm(DiskFault::none, 0, false);
    for (std::uint32_t page_number = 2; page_number <= 61; ++page_number) bench.put(page_number, bench.page());
    bench.flush();
    CHECK(bench.memory.calls() == 3);  // 60 pages in two writes, one sync
    CHECK(bench.memory.bytes(store_file).size() == 61 * page_bytes);
}

TEST_CASE("a size that could not be asked for is asked for again, and not taken for an empty file") {
    Bench bench;
    bench.put(2, bench.page());
    const PlainPage third = bench.page();
    bench.put(3, third);
    bench.flush();
    MainFile again = bench.open();
    bench.memory.count_side_calls();
    bench.memory.arm(DiskFault::io_error, 1, false);
    CHECK(again.write(3 * page_size, bench.page()) == SQLITE_IOERR_FSTAT);
    CHECK(again.write(3 * page_size, bench.page()) == SQLITE_OK);
    REQUIRE(again.sync(SQLITE_SYNC_NORMAL) == SQLITE_OK);
    PlainPage out;
    REQUIRE(bench.file.read(2 * page_size, out) == SQLITE_OK);
    CHECK(out == third);
}

TEST_CASE("a gathered write that fails is known by the sync at the latest") {
    Bench bench;
    bench.flush();
    bench.memory.arm(DiskFault::full, 1, true);
    CHECK(bench.file.write(page_size, bench.page()) == SQLITE_OK);
    CHECK(bench.file.sync(SQLITE_SYNC_NORMAL) == SQLITE_FULL);
}
