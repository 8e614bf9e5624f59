#pragma once
// That a code was used stands in a store's own tables and nowhere else. Where the store may have forgotten it, no code
// of before may let anybody in: of invites, and of places at a courier.

#include "store/sqlite/database.hpp"

namespace ladderline::store {

Result<void> void_codes(sqlite::Database& db);

}  // namespace ladderline::store
