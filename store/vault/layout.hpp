#pragma once
// Sizes and fixed bytes of a vault file (store/FORMAT.md), and the rules a page must keep before it is sealed.

#include <array>
#include <cstdint>

#include "protocol/base/bytes.hpp"

namespace ladderline::store::vault {

inline constexpr std::size_t page_bytes = 4096;
// Of every page: 24-byte nonce and 16-byte tag. SQLite sees them as its reserved bytes, always zero.
inline constexpr std::size_t reserved_bytes = 40;
inline constexpr std::size_t body_bytes = page_bytes - reserved_bytes;
// The first bytes of page 1 are the same for the whole life of a file, on the disk and towards SQLite.
inline constexpr std::size_t header_bytes = 24;

inline constexpr std::size_t log_header_bytes = 32;
inline constexpr std::size_t frame_header_bytes = 24;
inline constexpr std::size_t frame_bytes = frame_header_bytes + page_bytes;

// What SQLite must find in bytes 0 to 23 of page 1: its magic text, 4096-byte pages, WAL for reading and writing,
// 40 reserved bytes, and the three constants of its format (sqlite.org/fileformat2.html, section 1.3).
inline constexpr std::array<std::uint8_t, header_bytes> sqlite_header{
    'S', 'Q', 'L', 'i', 't', 'e', ' ', 'f', 'o', 'r', 'm', 'a', 't', ' ', '3', 0, 0x10, 0x00, 2, 2, reserved_bytes,
    64,  32,  32};

using PlainPage = std::array<std::uint8_t, page_bytes>;

// Page 1 of a database without tables.
PlainPage empty_database_page();

// True if SQLite may have this page sealed: reserved bytes zero; for page 1 also the header above (no other page size,
// journal mode or reserve) and no auto_vacuum, which SQLite decides on before it has looked into the log.
bool may_be_sealed(std::uint32_t page_number, ByteView plain);

bool all_zero(ByteView bytes);

}  // namespace ladderline::store::vault
