#pragma once
// The store's tables and their version. Forward only: a store made by a newer program is refused and left alone.

#include "store/sqlite/database.hpp"

namespace ladderline::store {

// Says "this file is Ladderline's" in SQLite's application_id: the letters LADR.
inline constexpr std::int64_t application_id = 0x4C414452;

// Brings the tables up to this program's version, in one transaction. unsupported for a newer store or another
// program's file: nothing is written then.
Result<void> bring_up_to_date(sqlite::Database& db);

}  // namespace ladderline::store
