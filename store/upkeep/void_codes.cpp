#include "store/upkeep/void_codes.hpp"

namespace ladderline::store {

Result<void> void_codes(sqlite::Database& db) {
    TRY(db.run("DELETE FROM invite WHERE used_by IS NULL"));
    return db.run("DELETE FROM courier_code");
}

}  // namespace ladderline::store
