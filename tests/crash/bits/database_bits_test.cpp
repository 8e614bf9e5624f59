// The database file with every bit of one page of each kind changed, with pages swapped, and with pages of another
// store or of the log in their place: an error, or the truth, never anything else.

#include <doctest/doctest.h>

#include "store/vault/frame_log.hpp"
#include "store/vault/main_file.hpp"
#include "tests/crash/bits/page_kinds.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::store;
using namespace ladderline::test;

namespace {

constexpr std::size_t page_bytes = vault::page_bytes;
constexpr std::size_t page_bits = page_bytes * 8;

const std::vector<std::string> kinds{"first page",     "table leaf", "table interior", "index leaf",
                                     "index interior", "overflow",   "freelist trunk", "freelist leaf"};

std::size_t offset_of(std::uint32_t page) {
    return (page - 1) * page_bytes;
}

// The database as SQLite's calls see it.
struct Bench {
    explicit Bench(const Files& given) : files(given), memory(given) {}

    static vault::BaseFile base(const MemoryVfs& memory) {
        int code = SQLITE_OK;
        vault::BaseFile out = vault::BaseFile::open(sqlite3_vfs_find(memory.name().c_str()), store_file.c_str(),
                                                    SQLITE_OPEN_READWRITE | SQLITE_OPEN_MAIN_DB, nullptr, code);
        REQUIRE(code == SQLITE_OK);
        return out;
    }
    // By a handle of its own: nothing read before is still in its memory.
    int read(std::uint32_t page) {
        vault::MainFile file{base(memory), keys};
        vault::PlainPage out;
        return file.read(static_cast<std::int64_t>(offset_of(page)), out);
    }
    // A page that must be noticed.
    void look_at(std::uint32_t page) {
        const bool noticed = read(page) == SQLITE_IOERR_DATA;
        CHECK(noticed);
        unseen += noticed ? 0 : 1;
    }
    Bytes& raw() { return memory.raw(store_file); }

    int unseen = 0;
    Files files;
    SeededRandom random{3};
    protocol::AeadKey key = VaultBox::key();
    vault::VaultKeys keys{ByteView(files.at(store_file)).first(vault::header_bytes), key, random};
    MemoryVfs memory;
};

// What SQL says of a changed store: the truth, or that it is damaged. Counts the errors.
class Reader {
public:
    explicit Reader(const Files& whole) : truth_(read(whole).value()) {}

    void check(const Files& changed) {
        const Result<std::string> found = read(changed);
        if (!found) {
            CHECK(found.error().fault() == Fault::damaged);
            ++errors;
        } else {
            CHECK(found.value() == truth_);
            ++(found.value() == truth_ ? truths : wrong);
        }
    }
    int errors = 0;
    int truths = 0;
    int wrong = 0;

private:
    static Result<std::string> read(const Files& files) {
        VaultBox box(files);
        auto opened = box.open();
        if (!opened) {
            const bool clear =
                opened.error().fault() == Fault::wrong_key || opened.error().fault() == Fault::unsupported;
            return clear ? Error{Fault::damaged, "The header."} : opened.error();
        }
        return everything_in(opened.value().handle());
    }

    std::string truth_;
};

}  // namespace

TEST_CASE("the store of these tests has a page of every kind") {
    const auto found = page_kinds(store_with_all_kinds());
    for (const std::string& kind : kinds) {
        CAPTURE(kind);
        CHECK(found.contains(kind));
    }
}

TEST_CASE("every bit of one page of each kind matters") {
    Bench bench(store_with_all_kinds());
    std::size_t bits = 0;
    std::size_t unseen = 0;
    for (const auto& [kind, page] : page_kinds(bench.files)) {
        REQUIRE(bench.read(page) == SQLITE_OK);
        for (std::size_t bit = 0; bit < page_bits; ++bit) {
            std::uint8_t& byte = bench.raw()[offset_of(page) + bit / 8];
            byte ^= static_cast<std::uint8_t>(1U << (bit % 8));
            unseen += bench.read(page) == SQLITE_IOERR_DATA ? 0 : 1;
            byte ^= static_cast<std::uint8_t>(1U << (bit % 8));
            ++bits;
        }
        CHECK(bench.read(page) == SQLITE_OK);
    }
    CHECK(unseen == 0);
    CHECK(bits == kinds.size() * page_bits);
    MESSAGE("database: pages of ", kinds.size(), " kinds, bits changed ", bits, ", not noticed ", unseen);
}

TEST_CASE("a bit changed in a page of each kind is an error or the truth to whoever asks in SQL") {
    const Files files = store_with_all_kinds();
    Reader reader(files);
    const std::size_t stride = std::max<std::size_t>(1, 401 / static_cast<std::size_t>(test_size()));
    std::size_t bits = 0;
    for (const auto& [kind, page] : page_kinds(files)) {
        CAPTURE(kind);
        for (std::size_t bit = 0; bit < page_bits; bit += stride) {
            CAPTURE(bit);
            Files changed = files;
            changed[store_file][offset_of(page) + bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
            reader.check(changed);
            ++bits;
        }
    }
    CHECK(reader.errors > 6 * reader.truths);
    MESSAGE("database by SQL: bits changed ", bits, ", errors ", reader.errors, ", the truth ", reader.truths,
            ", wrong ", reader.wrong);
}

TEST_CASE("pages in the place of others are noticed, whatever their kinds") {
    Bench bench(store_with_all_kinds());
    Reader reader(bench.files);
    const auto found = page_kinds(bench.files);
    int swaps = 0;
    for (const auto& [kind, page] : found) {
        for (const auto& [other_kind, other] : found) {
            if (page == other) continue;
            CAPTURE(kind);
            CAPTURE(other_kind);
            const auto from = [&](std::uint32_t p) {
                return bench.raw().begin() + static_cast<std::ptrdiff_t>(offset_of(p));
            };
            std::swap_ranges(from(page), from(page) + page_bytes, from(other));
            bench.look_at(page);
            bench.look_at(other);
            reader.check({{store_file, bench.raw()}});
            std::swap_ranges(from(page), from(page) + page_bytes, from(other));
            ++swaps;
        }
    }
    CHECK(reader.truths == 0);
    MESSAGE("database: swaps of pages ", swaps, ", not noticed ", bench.unseen);
}

TEST_CASE("pages of another store under the same data key are noticed") {
    Bench bench(store_with_all_kinds());
    const Bytes other = store_with_all_kinds(99).at(store_file);
    REQUIRE(other.size() == bench.raw().size());
    int spliced = 0;
    for (std::uint32_t page = 1; page <= other.size() / page_bytes; ++page) {
        CAPTURE(page);
        const auto at = static_cast<std::ptrdiff_t>(offset_of(page));
        std::copy_n(other.begin() + at, page_bytes, bench.raw().begin() + at);
        bench.look_at(page);
        ++spliced;
    }
    MESSAGE("database: pages of another store ", spliced, ", not noticed ", bench.unseen);
}

TEST_CASE("pages of the log in the place of pages of the database are noticed unless they are of that number") {
    VaultBox source(store_with_all_kinds());
    Bytes log;
    {
        sqlite::Database database = source.must_open();
        must(database.execute("UPDATE t SET k = k || '.' WHERE id < 60"));
        log = source.memory.bytes(log_file);
    }
    Bench bench(source.memory.files());
    int spliced = 0;
    for (std::size_t at = vault::log_header_bytes; at + vault::frame_bytes <= log.size(); at += vault::frame_bytes) {
        const std::uint32_t number = vault::frame_page_number(ByteView(log).subspan(at, vault::frame_header_bytes));
        for (const auto& [kind, page] : page_kinds(bench.files)) {
            if (page == number) continue;
            CAPTURE(kind);
            const Bytes before(bench.raw());
            std::copy_n(log.begin() + static_cast<std::ptrdiff_t>(at + vault::frame_header_bytes), page_bytes,
                        bench.raw().begin() + static_cast<std::ptrdiff_t>(offset_of(page)));
            bench.look_at(page);
            bench.raw() = before;
            ++spliced;
        }
    }
    CHECK(spliced > 50);
    MESSAGE("database: pages of the log ", spliced, ", not noticed ", bench.unseen);
}

TEST_CASE("a database cut off at any byte is an error, never fewer rows") {
    const Files files = store_with_all_kinds();
    Reader reader(files);
    const std::size_t length = files.at(store_file).size();
    // Every byte of the last page and of the first, and of the rest by steps.
    const std::size_t stride = std::max<std::size_t>(1, 997 / static_cast<std::size_t>(test_size()));
    Bench bench(files);
    const auto pages = static_cast<std::uint32_t>(length / page_bytes);
    for (std::size_t cut = 1; cut < page_bytes; ++cut) {
        bench.memory.set_bytes(store_file, Bytes(files.at(store_file).begin(),
                                                 files.at(store_file).end() - static_cast<std::ptrdiff_t>(cut)));
        bench.look_at(pages);
    }
    int cuts = 0;
    for (std::size_t cut = 1; cut < length; cut += stride) {
        CAPTURE(cut);
        const auto begin = files.at(store_file).begin();
        reader.check({{store_file, Bytes(begin, begin + static_cast<std::ptrdiff_t>(cut))}});
        ++cuts;
    }
    // The last page is free, and nobody reads it.
    CHECK(reader.truths <= static_cast<int>(page_bytes / stride + 1));
    MESSAGE("database: cut off at ", cuts + static_cast<int>(page_bytes) - 1, " places, taken for whole ",
            bench.unseen + reader.wrong);
}
