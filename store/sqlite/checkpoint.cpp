#include "store/sqlite/checkpoint.hpp"

namespace ladderline::store::sqlite {

Result<void> empty_the_log(Database& db, std::string_view undone) {
    std::int64_t busy = 1;
    TRY(db.query("PRAGMA wal_checkpoint(TRUNCATE)", [&](const Row& row) { busy = row.integer(0); }));
    if (busy == 0) return ok();
    return Error{Fault::busy, "The store is in use elsewhere, so " + std::string(undone) + "; try again in a moment."};
}

}  // namespace ladderline::store::sqlite
