#include "store/schema/schema.hpp"

#include "embedded/migrations.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::store {
namespace {

Result<std::int64_t> pragma(sqlite::Database& db, std::string_view sql) {
    std::int64_t value = 0;
    TRY(db.query(sql, [&](const sqlite::Row& row) { value = row.integer(0); }));
    return value;
}

}  // namespace

Result<void> bring_up_to_date(sqlite::Database& db) {
    constexpr auto& steps = embedded::migrations::all;
    const auto newest = static_cast<std::int64_t>(steps.size());
    TRY(const std::int64_t made_by, pragma(db, "PRAGMA application_id"));
    TRY(const std::int64_t version, pragma(db, "PRAGMA user_version"));
    if ((made_by != 0 && made_by != application_id) || (made_by == 0 && version != 0)) {
        return Error{Fault::unsupported, "This file belongs to another program; it was left as it is."};
    }
    if (version > newest) {
        return Error{Fault::unsupported,
                     "This store was made by a newer Ladderline; it was left as it is. Install the newer program."};
    }
    if (version == newest) return ok();
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db));
    for (std::int64_t step = version; step < newest; ++step) {
        TRY(db.execute(steps[static_cast<std::size_t>(step)].text));
    }
    TRY(db.execute("PRAGMA application_id = " + std::to_string(application_id) +
                   "; PRAGMA user_version = " + std::to_string(newest)));
    return tx.commit();
}

}  // namespace ladderline::store
