#pragma once
// The log of a database brought home into its file.

#include <string_view>

#include "store/sqlite/database.hpp"

namespace ladderline::store::sqlite {

// Before a database is copied, or closed to be moved: afterwards its file alone holds everything. Closing it would do
// the same, but keeps a failure to itself. `undone`: what it says was not done where somebody else reads or writes.
Result<void> empty_the_log(Database& db, std::string_view undone);

}  // namespace ladderline::store::sqlite
