#include "store/vault/page_codec.hpp"

#include <doctest/doctest.h>

#include <set>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::store::vault;

namespace {

struct Bench {
    test::SeededRandom random{3};
    protocol::AeadKey key = protocol::AeadKey::random(random);
    FileHeader header = make_file_header(key, random);
    PageCodec codec{header, key};
    NonceSource nonces{random};

    PlainPage plain(std::uint32_t page_number) {
        PlainPage page{};
        if (page_number == 1) return empty_database_page();
        random.fill(MutableByteView(page).first(body_bytes));
        return page;
    }
    PlainPage seal(std::uint32_t page_number, const PlainPage& page) {
        PlainPage out;
        codec.seal(page_number, page, nonces, out);
        return out;
    }
};

}  // namespace

TEST_CASE("a sealed page opens to what SQLite wrote, reserved bytes zero") {
    Bench bench;
    for (const std::uint32_t page_number : {1U, 2U, 77U, 4'000'000'000U}) {
        CAPTURE(page_number);
        const PlainPage plain = bench.plain(page_number);
        const PlainPage sealed = bench.seal(page_number, plain);
        PlainPage opened;
        opened.fill(0xee);
        REQUIRE(bench.codec.open(page_number, sealed, opened));
        CHECK(opened == plain);
        CHECK(bench.codec.is_genuine(page_number, sealed));
    }
}

TEST_CASE("every single bit of a sealed page matters") {
    Bench bench;
    for (const std::uint32_t page_number : {1U, 2U}) {
        PlainPage sealed = bench.seal(page_number, bench.plain(page_number));
        PlainPage opened;
        int accepted = 0;
        for (std::size_t bit = 0; bit < page_bytes * 8; ++bit) {
            sealed[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
            accepted += bench.codec.open(page_number, sealed, opened) ? 1 : 0;
            sealed[bit / 8] ^= static_cast<std::uint8_t>(1U << (bit % 8));
        }
        CHECK(accepted == 0);
    }
}

TEST_CASE("a page does not open at the place of another") {
    Bench bench;
    const PlainPage sealed = bench.seal(5, bench.plain(5));
    PlainPage opened;
    CHECK_FALSE(bench.codec.open(6, sealed, opened));
}

TEST_CASE("a page does not open in another file under the same data key") {
    Bench bench;
    const FileHeader other_header = make_file_header(bench.key, bench.random);
    const PageCodec other(other_header, bench.key);
    const PlainPage sealed = bench.seal(5, bench.plain(5));
    PlainPage opened;
    CHECK_FALSE(other.open(5, sealed, opened));
}

TEST_CASE("the same page sealed twice looks different everywhere but in the header of page 1") {
    Bench bench;
    const PlainPage plain = bench.plain(1);
    const PlainPage first = bench.seal(1, plain);
    const PlainPage second = bench.seal(1, plain);
    CHECK(std::equal(first.begin(), first.begin() + header_bytes, second.begin()));
    int same = 0;
    for (std::size_t i = header_bytes; i < body_bytes; ++i) same += first[i] == second[i] ? 1 : 0;
    CHECK(same < 60);  // 4032 independent bytes agree in 16 places on average
}

TEST_CASE("a page of zeros is not a page") {
    Bench bench;
    const PlainPage zeros{};
    PlainPage opened;
    CHECK_FALSE(bench.codec.open(2, zeros, opened));
}

TEST_CASE("the clear header tells a wrong key, another format and another file apart") {
    Bench bench;
    CHECK(check_file_header(bench.header, bench.key).has_value());

    const auto other_key = protocol::AeadKey::random(bench.random);
    CHECK(check_file_header(bench.header, other_key).error().fault() == Fault::wrong_key);

    FileHeader newer = bench.header;
    newer[3] = 2;
    CHECK(check_file_header(newer, bench.key).error().fault() == Fault::unsupported);

    FileHeader foreign = bench.header;
    foreign[0] = 'S';
    CHECK(check_file_header(foreign, bench.key).error().fault() == Fault::damaged);

    for (std::size_t at = 4; at < header_bytes; ++at) {
        CAPTURE(at);
        FileHeader changed = bench.header;
        changed[at] ^= 0x10;
        CHECK(check_file_header(changed, bench.key).error().fault() == Fault::wrong_key);
    }
}

TEST_CASE("only pages that keep the rules of the format may be sealed") {
    const PlainPage page_one = empty_database_page();
    CHECK(may_be_sealed(1, page_one));
    const PlainPage zeros{};
    CHECK(may_be_sealed(2, zeros));
    CHECK_FALSE(may_be_sealed(0, zeros));
    CHECK_FALSE(may_be_sealed(1, zeros));
    CHECK_FALSE(may_be_sealed(2, ByteView(zeros).first(2048)));

    struct Case {
        const char* what;
        std::uint32_t page_number;
        std::size_t at;
        std::uint8_t value;
    };
    const Case cases[] = {
        {"first reserved byte", 2, body_bytes, 1},
        {"last reserved byte", 2, page_bytes - 1, 1},
        {"first reserved byte of page 1", 1, body_bytes, 1},
        {"page size 8192", 1, 16, 0x20},
        {"rollback journal", 1, 18, 1},
        {"no reserve", 1, 20, 0},
        {"auto_vacuum", 1, 55, 1},
    };
    for (const Case& c : cases) {
        CAPTURE(c.what);
        PlainPage page = c.page_number == 1 ? page_one : zeros;
        page[c.at] = c.value;
        CHECK_FALSE(may_be_sealed(c.page_number, page));
    }
}
