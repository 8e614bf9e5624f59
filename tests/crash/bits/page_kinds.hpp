#pragma once
// A database that has a page of every kind, and which page is which.

#include <map>

#include "store/vault/page_codec.hpp"
#include "tests/support/store/vault_box.hpp"

namespace ladderline::test {

// Several tables and indexes, long values, and free pages; the log is empty. `seed` makes another store under the same
// data key with the same contents.
Files store_with_all_kinds(std::uint64_t seed = 1);

// Name of a kind -> one page of it, by number: first page, table leaf, table interior, index leaf, index interior,
// overflow, freelist trunk, freelist leaf. Kinds that are missing are missing here.
std::map<std::string, std::uint32_t> page_kinds(const Files& files);

// All that SQL can read of it, and what a check of the database says; damaged if any of it was.
Result<std::string> everything_in(sqlite3* connection);

}  // namespace ladderline::test
