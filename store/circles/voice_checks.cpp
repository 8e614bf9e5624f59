#include "store/circles/voice_checks.hpp"

namespace ladderline::store {

using namespace protocol;

Result<void> note_voice_check(sqlite::Database& db, const MemberId& member, Day day) {
    return db.run("INSERT OR REPLACE INTO voice_check (member, day) VALUES (?1, ?2)", member, std::int64_t{day.number});
}

Result<std::map<MemberId, Day>> voice_checks(sqlite::Database& db) {
    std::map<MemberId, Day> out;
    TRY(db.query("SELECT member, day FROM voice_check", [&](const sqlite::Row& row) {
        out.emplace(row.fixed<MemberId>(0), Day{static_cast<std::int32_t>(row.integer(1))});
    }));
    return out;
}

}  // namespace ladderline::store
