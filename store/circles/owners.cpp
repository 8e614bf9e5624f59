#include "store/circles/owners.hpp"

namespace ladderline::store {

using namespace protocol;

Result<bool> takes_grant_of(sqlite::Database& db, const CircleId& circle, const MemberId& me, const DhPublic& noise) {
    bool is_open = true;
    TRY(db.query(
        "SELECT 1 FROM member WHERE circle = ?1 AND member = ?2 UNION ALL "
        "SELECT 1 FROM welcome WHERE circle = ?1 AND noise = ?3",
        [&](const sqlite::Row&) { is_open = false; }, circle, me, noise));
    if (!is_open) return false;
    TRY(db.query(
        "SELECT min(granted) FROM (SELECT (SELECT count(DISTINCT welcome.noise) FROM welcome "
        "JOIN device ON device.noise = welcome.noise WHERE welcome.circle = ?1 AND device.member = owner.member) "
        "AS granted FROM (SELECT DISTINCT member FROM device WHERE noise = ?2) AS owner)",
        [&](const sqlite::Row& row) {
            is_open = row.is_null(0) || row.integer(0) < static_cast<std::int64_t>(granters_per_member_max);
        },
        circle, noise));
    return is_open;
}

}  // namespace ladderline::store
