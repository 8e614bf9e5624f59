#include "store/vault/wal_file.hpp"

#include <doctest/doctest.h>

#include <functional>

#include "tests/support/store/provokes_refusals.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store::vault;
using namespace ladderline::test;

namespace {

// A log written the way SQLite does it, below SQLite.
struct Bench {
    SeededRandom random{4};
    protocol::AeadKey key = VaultBox::key();
    FileHeader header = make_file_header(key, random);
    VaultKeys keys{header, key, random};
    MemoryVfs memory;
    WalFile file = open();

    Bench() { REQUIRE(file.write(0, log_header(1)) == SQLITE_OK); }

    WalFile open() {
        int code = SQLITE_OK;
        BaseFile base = BaseFile::open(sqlite3_vfs_find(memory.name().c_str()), log_file.c_str(),
                                       SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_WAL, nullptr, code);
        REQUIRE(code == SQLITE_OK);
        return WalFile(std::move(base), keys);
    }

    static LogHeader log_header(std::uint8_t salt) {
        LogHeader out{0x37, 0x7f, 0x06, 0x82, 0x00, 0x2d, 0xe2, 0x18, 0x00, 0x00, 0x10, 0x00};
        for (std::size_t i = 16; i < 24; ++i) out[i] = salt;
        return out;
    }
    static FrameHeader frame_header(std::uint8_t page_number, std::uint8_t size_after_commit, std::uint8_t salt = 1) {
        FrameHeader out{0, 0, 0, page_number, 0, 0, 0, size_after_commit};
        for (std::size_t i = 8; i < 16; ++i) out[i] = salt;
        for (std::size_t i = 16; i < 24; ++i) out[i] = 0xcc;  // SQLite's checksum: not looked at on the way in
        return out;
    }
    static PlainPage page(std::uint8_t fill) {
        PlainPage out{};
        std::fill_n(out.begin(), body_bytes, fill);
        return out;
    }
    static std::int64_t offset(std::size_t frame) { return static_cast<std::int64_t>(32 + frame * 4120); }

    int put_header(std::size_t frame, const FrameHeader& bytes) { return file.write(offset(frame), bytes); }
    int put_page(std::size_t frame, const PlainPage& bytes) { return file.write(offset(frame) + 24, bytes); }
    void put(std::size_t frame, std::uint8_t page_number, std::uint8_t size_after_commit) {
        REQUIRE(put_header(frame, frame_header(page_number, size_after_commit)) == SQLITE_OK);
        REQUIRE(put_page(frame, page(page_number)) == SQLITE_OK);
    }
    void sync() { REQUIRE(file.sync(SQLITE_SYNC_NORMAL) == SQLITE_OK); }
    std::size_t bytes_on_disk() { return memory.bytes(log_file).size(); }

    void change(const std::function<void(Bytes&)>& how) {
        Bytes raw = memory.bytes(log_file);
        how(raw);
        memory.set_bytes(log_file, raw);
    }
    // What a program that finds this log reads at a frame: its page number, 0 for the end of the log, or -1 for damage.
    int found(std::size_t frame) {
        WalFile again = open();
        LogHeader head{};
        if (const int code = again.read(0, head); code != SQLITE_OK) return judged(code);
        if (all_zero(head)) return 0;
        Bytes out(frame_bytes);
        for (std::size_t i = 0; i <= frame; ++i) {
            std::fill(out.begin(), out.end(), std::uint8_t{0xee});
            if (const int code = again.read(offset(i), out); code != SQLITE_OK) return judged(code);
        }
        return out[3];
    }
    static int judged(int code) {
        CHECK(code == SQLITE_IOERR_DATA);
        return -1;
    }
};

}  // namespace

TEST_CASE("frames are gathered and leave the program at the commit, without a sync") {
    Bench bench;
    bench.put(0, 2, 0);
    CHECK(bench.bytes_on_disk() == log_header_bytes);
    bench.put(1, 3, 3);
    CHECK(bench.bytes_on_disk() == log_header_bytes + 2 * frame_bytes);
}

TEST_CASE("a page without its frame header, which only a cache spill writes, is refused" *
          doctest::description(provokes_refusals)) {
    Bench bench;
    bench.put(0, 2, 0);
    const std::int64_t before = refusals;
    CHECK(bench.put_page(0, Bench::page(9)) == SQLITE_IOERR_WRITE);
    CHECK(bench.put_page(1, Bench::page(9)) == SQLITE_IOERR_WRITE);
    REQUIRE(bench.put_header(1, Bench::frame_header(3, 0)) == SQLITE_OK);
    CHECK(bench.put_page(0, Bench::page(9)) == SQLITE_IOERR_WRITE);
    CHECK(refusals - before == 3);
}

TEST_CASE("frame headers written again without pages, as after a cache spill, are refused" *
          doctest::description(provokes_refusals)) {
    Bench bench;
    bench.put(0, 2, 0);
    bench.put(1, 3, 0);
    REQUIRE(bench.put_header(0, Bench::frame_header(2, 0)) == SQLITE_OK);
    CHECK(bench.put_header(1, Bench::frame_header(3, 3)) == SQLITE_IOERR_WRITE);
}

TEST_CASE("a synced commit cannot be written over" * doctest::description(provokes_refusals)) {
    Bench bench;
    bench.put(0, 2, 2);
    bench.sync();
    CHECK(bench.put_header(0, Bench::frame_header(2, 2)) == SQLITE_IOERR_WRITE);
    CHECK(bench.put_header(1, Bench::frame_header(2, 2)) == SQLITE_OK);
}

TEST_CASE("a frame that skips one, or of another log, is refused" * doctest::description(provokes_refusals)) {
    Bench bench;
    CHECK(bench.put_header(1, Bench::frame_header(2, 2)) == SQLITE_IOERR_WRITE);
    CHECK(bench.put_header(0, Bench::frame_header(2, 2, 7)) == SQLITE_IOERR_WRITE);
}

TEST_CASE("a step that failed is cut off before it is written over") {
    Bench bench;
    bench.put(0, 2, 2);
    bench.sync();
    bench.put(1, 3, 0);
    bench.put(2, 4, 4);  // reached the disk, but its sync failed, say
    REQUIRE(bench.bytes_on_disk() == log_header_bytes + 3 * frame_bytes);
    REQUIRE(bench.put_header(1, Bench::frame_header(5, 5)) == SQLITE_OK);
    CHECK(bench.bytes_on_disk() == log_header_bytes + frame_bytes);
}

TEST_CASE("a step that failed is cut off also if the disk did not allow it at once") {
    Bench bench;
    bench.put(0, 2, 2);
    bench.sync();
    bench.put(1, 3, 0);
    bench.put(2, 4, 4);
    bench.memory.arm(DiskFault::io_error, 1, false);
    CHECK(bench.put_header(1, Bench::frame_header(5, 5)) == SQLITE_IOERR_TRUNCATE);
    REQUIRE(bench.put_header(1, Bench::frame_header(5, 5)) == SQLITE_OK);
    CHECK(bench.bytes_on_disk() == log_header_bytes + frame_bytes);
}

TEST_CASE("the tail of a step that a power cut ended is cut off before it is written over") {
    Bench bench;
    for (std::uint8_t i = 0; i < 4; ++i) bench.put(i, 2, 2);
    bench.change([](Bytes& raw) { raw[static_cast<std::size_t>(Bench::offset(2)) + 100] ^= 1; });
    WalFile again = bench.open();
    LogHeader head;
    REQUIRE(again.read(0, head) == SQLITE_OK);
    Bytes frame(frame_bytes);
    REQUIRE(again.read(Bench::offset(1), frame) == SQLITE_OK);
    REQUIRE(again.write(Bench::offset(2), Bench::frame_header(5, 5)) == SQLITE_OK);
    CHECK(bench.bytes_on_disk() == log_header_bytes + 2 * frame_bytes);
}

TEST_CASE("a log cut off behind some of its frames goes on behind them") {
    Bench bench;
    bench.put(0, 2, 0);
    bench.put(1, 3, 3);
    bench.put(2, 4, 4);
    REQUIRE(bench.file.truncate(Bench::offset(2)) == SQLITE_OK);
    CHECK(bench.found(2) == 0);
    bench.put(2, 5, 5);
    CHECK(bench.found(1) == 3);
    CHECK(bench.found(2) == 5);
}

TEST_CASE("a write that is neither a frame header nor a page at its place is refused" *
          doctest::description(provokes_refusals)) {
    Bench bench;
    CHECK(bench.file.write(Bench::offset(0) + 7, Bytes(frame_header_bytes)) == SQLITE_IOERR_WRITE);
    CHECK(bench.file.write(Bench::offset(0), Bytes(frame_header_bytes + 1)) == SQLITE_IOERR_WRITE);
}

TEST_CASE("SQLite's checksum of the clear page does not reach the disk") {
    Bench bench;
    bench.put(0, 2, 2);
    const Bytes raw = bench.memory.bytes(log_file);
    const std::uint8_t checksum[8] = {0xcc, 0xcc, 0xcc, 0xcc, 0xcc, 0xcc, 0xcc, 0xcc};
    CHECK_FALSE(std::equal(std::begin(checksum), std::end(checksum), raw.begin() + Bench::offset(0) + 16));
    // It depends on the nonce, so the same frame twice has two different seals.
    Bench other;
    static_cast<void>(other.keys.nonces.next());
    other.put(0, 2, 2);
    const Bytes other_raw = other.memory.bytes(log_file);
    CHECK_FALSE(std::equal(raw.begin() + 48, raw.begin() + 56, other_raw.begin() + 48));
}

TEST_CASE("parts of headers and frames are served") {
    Bench bench;
    bench.put(0, 2, 2);
    Bytes checksum(8);
    REQUIRE(bench.file.read(Bench::offset(0) + 16, checksum) == SQLITE_OK);
    CHECK(checksum == Bytes(8, 0xcc));
    Bytes head_checksum(8, 0xee);
    REQUIRE(bench.file.read(24, head_checksum) == SQLITE_OK);
    CHECK(head_checksum == Bytes(8, 0));
    Bytes part(10);
    REQUIRE(bench.file.read(Bench::offset(0) + 20, part) == SQLITE_OK);
    CHECK(part == Bytes{0xcc, 0xcc, 0xcc, 0xcc, 2, 2, 2, 2, 2, 2});
}

TEST_CASE("a log found again is read to its end") {
    Bench bench;
    bench.put(0, 2, 0);
    bench.put(1, 3, 3);
    CHECK(bench.found(0) == 2);
    CHECK(bench.found(1) == 3);
    CHECK(bench.found(2) == 0);
}

TEST_CASE("a forged frame header ends the log, or is damage when two commits stand behind it") {
    struct Case {
        const char* what;
        std::size_t at;
    };
    const Case cases[] = {{"page number", 3}, {"commit", 7}, {"salt", 8}, {"hash", 16}, {"last byte of the hash", 23}};
    for (const Case& c : cases) {
        CAPTURE(c.what);
        for (const std::size_t frame : {0, 1, 2, 3}) {
            CAPTURE(frame);
            Bench bench;
            for (std::uint8_t i = 0; i < 4; ++i) bench.put(i, static_cast<std::uint8_t>(i + 2), 9);
            bench.change([&](Bytes& raw) { raw[static_cast<std::size_t>(Bench::offset(frame)) + c.at] ^= 0x20; });
            // A broken hash also unchains the frame behind it.
            const std::size_t commits_behind = 3 - frame - (c.at >= 16 && frame < 3 ? 1 : 0);
            CHECK(bench.found(frame) == (commits_behind >= 2 ? -1 : 0));
        }
    }
}

TEST_CASE("a frame whose page was changed ends the log only if it is the last commit") {
    for (const std::size_t frame : {0, 1, 2}) {
        CAPTURE(frame);
        Bench bench;
        for (std::uint8_t i = 0; i < 3; ++i) bench.put(i, static_cast<std::uint8_t>(i + 2), 9);
        bench.change([&](Bytes& raw) { raw[static_cast<std::size_t>(Bench::offset(frame)) + 2000] ^= 0x20; });
        CHECK(bench.found(frame) == (frame == 2 ? 0 : -1));
    }
}

TEST_CASE("frames swapped, repeated or moved end the log") {
    Bench bench;
    for (std::uint8_t i = 0; i < 3; ++i) bench.put(i, static_cast<std::uint8_t>(i + 2), i == 2 ? 9 : 0);
    bench.change([](Bytes& raw) {
        std::swap_ranges(raw.begin() + Bench::offset(0), raw.begin() + Bench::offset(1),
                         raw.begin() + Bench::offset(1));
    });
    CHECK(bench.found(0) == 0);

    Bench repeated;
    repeated.put(0, 2, 2);
    repeated.change([](Bytes& raw) {
        const Bytes frame(raw.begin() + Bench::offset(0), raw.end());
        raw.insert(raw.end(), frame.begin(), frame.end());
    });
    CHECK(repeated.found(0) == 2);
    CHECK(repeated.found(1) == 0);
}

TEST_CASE("every bit of the log header matters while frames stand behind it") {
    Bench bench;
    bench.put(0, 2, 2);
    const Bytes whole = bench.memory.bytes(log_file);
    for (std::size_t bit = 0; bit < log_header_bytes * 8; ++bit) {
        CAPTURE(bit);
        Bytes raw = whole;
        raw[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
        bench.memory.set_bytes(log_file, raw);
        CHECK(bench.found(0) == -1);
    }
}

TEST_CASE("a log header that never got its frames is an empty log") {
    Bench bench;
    bench.change([](Bytes& raw) { raw[20] ^= 1; });
    LogHeader head;
    head.fill(0xee);
    WalFile again = bench.open();
    CHECK(again.read(0, head) == SQLITE_OK);
    CHECK(all_zero(head));
}

TEST_CASE("a page exchanged for an older one of the same number while the store is open is damage") {
    Bench bench;
    bench.put(0, 2, 2);
    bench.put(1, 2, 2);
    bench.change([](Bytes& raw) {
        std::copy_n(raw.begin() + Bench::offset(0) + 24, page_bytes, raw.begin() + Bench::offset(1) + 24);
    });
    PlainPage out;
    CHECK(bench.file.read(Bench::offset(0) + 24, out) == SQLITE_OK);
    CHECK(bench.file.read(Bench::offset(1) + 24, out) == SQLITE_IOERR_DATA);
}

TEST_CASE("a new log forgets the frames of the one before it") {
    Bench bench;
    bench.put(0, 2, 2);
    bench.put(1, 3, 3);
    REQUIRE(bench.file.write(0, Bench::log_header(2)) == SQLITE_OK);
    CHECK(bench.found(0) == 0);
    REQUIRE(bench.put_header(0, Bench::frame_header(7, 7, 2)) == SQLITE_OK);
    REQUIRE(bench.put_page(0, Bench::page(7)) == SQLITE_OK);
    CHECK(bench.found(0) == 7);
    CHECK(bench.found(1) == 0);
}

// The sealed page of a frame as the checkpoint would write it; empty if it refuses to.
static Bytes handed_out(Bench& bench, std::size_t frame, std::uint32_t page_number) {
    PlainPage shown{};
    if (bench.file.read(Bench::offset(frame) + 24, shown) != SQLITE_OK) return {};
    CHECK(all_zero(ByteView(shown).first(body_bytes)));
    return to_bytes(bench.keys.checkpoint.take_back(page_number, shown));
}

static Bytes page_on_disk(Bench& bench, std::size_t frame) {
    const Bytes raw = bench.memory.bytes(log_file);
    return to_bytes(ByteView(raw).subspan(static_cast<std::size_t>(Bench::offset(frame)) + 24, page_bytes));
}

TEST_CASE("during a checkpoint a page is handed out as it is sealed, otherwise clear") {
    Bench bench;
    bench.put(0, 2, 2);
    bench.keys.checkpoint.begin();
    CHECK(handed_out(bench, 0, 2) == page_on_disk(bench, 0));
    CHECK(handed_out(bench, 0, 3).empty());
    bench.keys.checkpoint.end();
    PlainPage out;
    REQUIRE(bench.file.read(Bench::offset(0) + 24, out) == SQLITE_OK);
    CHECK(out == Bench::page(2));
}

TEST_CASE("a write to the log ends a checkpoint") {
    Bench bench;
    bench.keys.checkpoint.begin();
    bench.put(0, 2, 2);
    CHECK_FALSE(bench.keys.checkpoint.running());
}

TEST_CASE("a checkpoint of a log too long to be kept in memory takes no changed page from the disk") {
    Bench bench;
    const std::size_t last = kept_pages_max;
    for (std::size_t frame = 0; frame <= last; ++frame) bench.put(frame, 2, frame == last ? 2 : 0);
    bench.keys.checkpoint.begin();
    CHECK(handed_out(bench, last, 2) == page_on_disk(bench, last));
    bench.change([&](Bytes& raw) { raw[static_cast<std::size_t>(Bench::offset(last)) + 24 + 100] ^= 1; });
    PlainPage shown{};
    CHECK(bench.file.read(Bench::offset(last) + 24, shown) == SQLITE_IOERR_DATA);
    CHECK_FALSE(bench.keys.checkpoint.running());
}

TEST_CASE("a frame written over is kept as it was written last") {
    Bench bench;
    bench.put(0, 2, 0);
    bench.put(1, 3, 0);
    bench.put(0, 5, 0);
    bench.put(1, 6, 6);
    bench.keys.checkpoint.begin();
    CHECK(handed_out(bench, 0, 5) == page_on_disk(bench, 0));
    CHECK(handed_out(bench, 1, 6) == page_on_disk(bench, 1));
}
