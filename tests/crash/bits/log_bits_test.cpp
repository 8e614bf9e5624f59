// The log with every bit of its header, of frame headers and of pages changed, frames forged, moved, repeated, taken
// from another store, and the whole cut off at every byte: an error, or the frames that stand whole before the change,
// and never fewer than all but the last three commits.

#include <doctest/doctest.h>

#include "store/vault/wal_file.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::store::vault;
using namespace ladderline::test;

namespace {

constexpr std::size_t commits = 5;

std::size_t frame_at(std::size_t frame) {
    return log_header_bytes + frame * frame_bytes;
}

struct Answer {
    bool damage = false;
    std::size_t frames = 0;  // that read as they were written
    bool other = false;      // something was read that nobody wrote
};

// A log of `commits` commits of one frame each, written the way SQLite does it.
class Bench {
public:
    explicit Bench(std::uint8_t salt = 1, std::uint64_t seed = 4, std::uint64_t header_seed = 4)
        : random_(seed),
          header_random_(header_seed),
          key_(VaultBox::key()),
          keys_(make_file_header(key_, header_random_), key_, random_) {
        WalFile file = open();
        REQUIRE(file.write(0, log_header(salt)) == SQLITE_OK);
        for (std::size_t i = 0; i < commits; ++i) {
            FrameHeader header{0, 0, 0, static_cast<std::uint8_t>(i + 2), 0, 0, 0, 9};
            std::fill_n(header.begin() + 8, 8, salt);
            PlainPage page{};
            std::fill_n(page.begin(), body_bytes, static_cast<std::uint8_t>(i + 0x40));
            REQUIRE(file.write(static_cast<std::int64_t>(frame_at(i)), header) == SQLITE_OK);
            REQUIRE(file.write(static_cast<std::int64_t>(frame_at(i) + frame_header_bytes), page) == SQLITE_OK);
            REQUIRE(file.sync(SQLITE_SYNC_NORMAL) == SQLITE_OK);
        }
        whole = memory_.bytes(log_file);
        REQUIRE(whole.size() == frame_at(commits));
    }

    // What the next program reads.
    Answer read() {
        WalFile file = open();
        LogHeader head{};
        Answer out;
        const int head_code = file.read(0, head);
        if (head_code != SQLITE_OK) {
            out.damage = head_code == SQLITE_IOERR_DATA;
            out.other = head_code != SQLITE_IOERR_DATA && head_code != SQLITE_IOERR_SHORT_READ;
            return out;
        }
        if (all_zero(head)) return out;
        Bytes frame(frame_bytes);
        for (std::size_t i = 0; i < commits + 3; ++i) {
            const int code = file.read(static_cast<std::int64_t>(frame_at(i)), frame);
            if (code != SQLITE_OK) {
                out.damage = code == SQLITE_IOERR_DATA;
                out.other = !out.damage;
                return out;
            }
            if (frame[3] == 0) return out;
            const auto body = ByteView(frame).subspan(frame_header_bytes, body_bytes);
            const bool as_written =
                frame[3] == i + 2 && frame[7] == 9 &&
                std::all_of(body.begin(), body.end(), [&](std::uint8_t b) { return b == i + 0x40; });
            if (!as_written || i >= commits) {
                out.other = true;
                return out;
            }
            ++out.frames;
        }
        return out;
    }
    Bytes& raw() { return memory_.raw(log_file); }
    void restore() { memory_.raw(log_file) = whole; }

    Bytes whole;

private:
    WalFile open() {
        int code = SQLITE_OK;
        BaseFile base = BaseFile::open(sqlite3_vfs_find(memory_.name().c_str()), log_file.c_str(),
                                       SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_WAL, nullptr, code);
        REQUIRE(code == SQLITE_OK);
        return WalFile(std::move(base), keys_);
    }
    static LogHeader log_header(std::uint8_t salt) {
        LogHeader out{0x37, 0x7f, 0x06, 0x82, 0x00, 0x2d, 0xe2, 0x18, 0x00, 0x00, 0x10, 0x00};
        std::fill_n(out.begin() + 16, 8, salt);
        return out;
    }

    SeededRandom random_;
    SeededRandom header_random_;
    protocol::AeadKey key_;
    VaultKeys keys_;
    MemoryVfs memory_;
};

// A change at frame `frame` shows as damage, or ends the log there if the step was one of the last three: two commits
// behind it that still hang together are the proof of damage, and a change of its hash also unchains the one behind it.
bool told(const Answer& answer, std::size_t frame) {
    if (answer.other) return false;
    return answer.damage || (answer.frames == frame && frame + 3 >= commits);
}

struct Tally {
    std::size_t changes = 0;
    std::size_t errors = 0;
    std::size_t shorter = 0;
    std::size_t untold = 0;
    void count(const Answer& answer, bool is_told) {
        ++changes;
        (answer.damage ? errors : shorter) += 1;
        untold += is_told ? 0 : 1;
    }
};

// Every bit of [from, from + bytes) of the log; `frame` is the one it lies in.
void flip_all(Bench& bench, std::size_t from, std::size_t bytes, std::size_t frame, Tally& tally) {
    for (std::size_t bit = 0; bit < bytes * 8; ++bit) {
        std::uint8_t& byte = bench.raw()[from + bit / 8];
        const auto mask = static_cast<std::uint8_t>(1U << (bit % 8));
        byte ^= mask;
        const Answer answer = bench.read();
        tally.count(answer, told(answer, frame));
        byte ^= mask;
    }
    CHECK(tally.untold == 0);
}

}  // namespace

TEST_CASE("the log of these tests reads back whole") {
    Bench bench;
    const Answer answer = bench.read();
    CHECK(answer.frames == commits);
    CHECK_FALSE(answer.damage);
    CHECK_FALSE(answer.other);
}

TEST_CASE("every bit of the log header, of every frame header and of a page matters") {
    Bench bench;
    Tally header;
    for (std::size_t bit = 0; bit < log_header_bytes * 8; ++bit) {
        bench.raw()[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
        const Answer answer = bench.read();
        CHECK(answer.damage);
        header.count(answer, answer.damage);
        bench.restore();
    }
    Tally frames;
    for (std::size_t i = 0; i < commits; ++i) flip_all(bench, frame_at(i), frame_header_bytes, i, frames);
    Tally pages;
    for (const std::size_t i : {std::size_t{1}, commits - 1}) {
        flip_all(bench, frame_at(i) + frame_header_bytes, page_bytes, i, pages);
    }
    CHECK(header.changes == 256);
    CHECK(pages.errors == page_bytes * 8);
    MESSAGE("log: bits changed: header ", header.changes, ", frame headers ", frames.changes, ", pages ", pages.changes,
            "; errors ", header.errors + frames.errors + pages.errors, ", the log ends there ",
            frames.shorter + pages.shorter, ", anything else ", header.untold + frames.untold + pages.untold);
}

TEST_CASE("a log cut off at every byte gives the frames that are whole") {
    Bench bench;
    std::size_t wrong = 0;
    for (std::size_t cut = 0; cut <= bench.whole.size(); ++cut) {
        bench.raw().assign(bench.whole.begin(), bench.whole.begin() + static_cast<std::ptrdiff_t>(cut));
        const Answer answer = bench.read();
        const std::size_t expected = cut < frame_at(0) ? 0 : (cut - frame_at(0)) / frame_bytes;
        wrong += answer.other || answer.damage || answer.frames != expected ? 1 : 0;
    }
    CHECK(wrong == 0);
    MESSAGE("log: cut off at ", bench.whole.size() + 1, " places, wrong ", wrong);
}

TEST_CASE("frames moved, repeated or taken out are damage, or end the log at one of the last three commits") {
    Bench bench;
    int moves = 0;
    int strange = 0;
    const auto expect = [&](bool good) {
        CHECK(good);
        strange += good ? 0 : 1;
    };
    for (std::size_t to = 0; to < commits; ++to) {
        for (std::size_t from = 0; from < commits; ++from) {
            if (from == to) continue;
            CAPTURE(from);
            CAPTURE(to);
            const auto at = [](std::size_t frame) { return static_cast<std::ptrdiff_t>(frame_at(frame)); };
            // One over the other.
            std::copy_n(bench.whole.begin() + at(from), frame_bytes, bench.raw().begin() + at(to));
            expect(told(bench.read(), to));
            bench.restore();
            // Each in the place of the other.
            std::swap_ranges(bench.raw().begin() + at(from), bench.raw().begin() + at(from + 1),
                             bench.raw().begin() + at(to));
            expect(!bench.read().other);
            bench.restore();
            // The page alone.
            std::copy_n(bench.whole.begin() + at(from) + 24, page_bytes, bench.raw().begin() + at(to) + 24);
            expect(told(bench.read(), to));
            bench.restore();
            moves += 3;
        }
        bench.raw().erase(bench.raw().begin() + static_cast<std::ptrdiff_t>(frame_at(to)),
                          bench.raw().begin() + static_cast<std::ptrdiff_t>(frame_at(to + 1)));
        const Answer taken_out = bench.read();
        expect(!taken_out.other && (taken_out.damage || taken_out.frames == to));
        bench.restore();
        ++moves;
    }
    MESSAGE("log: frames moved, repeated or taken out ", moves, ", anything else ", strange);
}

TEST_CASE("frames of another log and of another store under the same data key are not taken for this one's") {
    Bench bench;
    Bench later(2);         // the same file, another log
    Bench other(1, 4, 77);  // another file, the same salts of the log
    for (Bench* source : {&later, &other}) {
        for (std::size_t i = 0; i < commits; ++i) {
            CAPTURE(i);
            std::copy_n(source->whole.begin() + static_cast<std::ptrdiff_t>(frame_at(i)), frame_bytes,
                        bench.raw().begin() + static_cast<std::ptrdiff_t>(frame_at(i)));
            CHECK(told(bench.read(), i));
            bench.restore();
        }
        bench.raw() = source->whole;
        if (source == &other) CHECK(bench.read().damage);
        bench.restore();
    }
}

TEST_CASE("frames forged without the key end the log: zeros, noise, and SQLite's own checksums") {
    SeededRandom random(12);
    for (int i = 0; i < 200; ++i) {
        CAPTURE(i);
        Bench bench;
        Bytes forged(frame_bytes);
        random.fill(forged);
        // As far as a thief can know it: page number, commit, salts.
        if (i % 2 == 0) std::copy_n(bench.whole.begin() + static_cast<std::ptrdiff_t>(frame_at(0)), 16, forged.begin());
        if (i % 3 == 0) std::fill(forged.begin() + 16, forged.end(), std::uint8_t{0});
        bench.raw().insert(bench.raw().end(), forged.begin(), forged.end());
        const Answer answer = bench.read();
        CHECK(answer.frames == commits);
        CHECK_FALSE(answer.other);
    }
}
