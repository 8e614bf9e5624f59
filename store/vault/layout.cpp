#include "store/vault/layout.hpp"

#include <algorithm>

namespace ladderline::store::vault {
namespace {

// Offsets in the 100-byte SQLite header.
constexpr std::size_t page_count_at = 28;
constexpr std::size_t largest_root_page_at = 52;
constexpr std::size_t text_encoding_at = 56;
constexpr std::size_t tree_header_at = 100;

void put_big_endian(PlainPage& page, std::size_t at, std::uint32_t value) {
    for (std::size_t i = 0; i < 4; ++i) page[at + i] = static_cast<std::uint8_t>(value >> (8 * (3 - i)));
}

}  // namespace

PlainPage empty_database_page() {
    PlainPage page{};
    std::copy(sqlite_header.begin(), sqlite_header.end(), page.begin());
    put_big_endian(page, header_bytes, 1);  // change counter; must equal "version valid for"
    put_big_endian(page, page_count_at, 1);
    put_big_endian(page, text_encoding_at, 1);  // UTF-8
    put_big_endian(page, 92, 1);                // version valid for
    put_big_endian(page, 96, 3040001);          // SQLite version that wrote it
    page[tree_header_at] = 0x0d;                // table leaf without cells
    page[tree_header_at + 5] = static_cast<std::uint8_t>(body_bytes >> 8);
    page[tree_header_at + 6] = static_cast<std::uint8_t>(body_bytes & 0xff);
    return page;
}

bool all_zero(ByteView bytes) {
    return std::all_of(bytes.begin(), bytes.end(), [](std::uint8_t b) { return b == 0; });
}

bool may_be_sealed(std::uint32_t page_number, ByteView plain) {
    if (plain.size() != page_bytes || !all_zero(plain.subspan(body_bytes))) return false;
    if (page_number != 1) return page_number != 0;
    return std::equal(sqlite_header.begin(), sqlite_header.end(), plain.begin()) &&
           all_zero(plain.subspan(largest_root_page_at, 4));
}

}  // namespace ladderline::store::vault
