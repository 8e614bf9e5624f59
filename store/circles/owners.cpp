#include "store/circles/owners.hpp"

#include <string>

namespace ladderline::store {

using namespace protocol;

namespace {

// An invite's answer names the device that let the owner in; a key that was brought leaves zeros there.
std::string unasked(const std::string& circle, const std::string& me) {
    return "coalesce((SELECT max(welcome.device) = zeroblob(32) FROM welcome WHERE welcome.circle = " + circle +
           " AND NOT EXISTS (SELECT 1 FROM circle WHERE circle.circle = " + circle + " AND circle.founder = " + me +
           ")), 0)";
}

}  // namespace

Result<Owners> owners_of(sqlite::Database& db, const MemberId& me, const DhPublic& noise) {
    Owners chosen{{}, false};
    Owners others;
    TRY(db.query(
        "SELECT known.member, min(" + unasked("known.circle", "?2") +
            ") "
            "FROM (SELECT circle, member FROM device WHERE noise = ?1 "
            "UNION SELECT circle, member FROM returning_device WHERE noise = ?1) AS known "
            "JOIN member AS theirs ON theirs.circle = known.circle AND theirs.member = known.member "
            "JOIN member AS mine ON mine.circle = known.circle AND mine.member = ?2 "
            "WHERE theirs.removed = 0 AND mine.removed IN (0, 2) GROUP BY known.member",
        [&](const sqlite::Row& row) {
            (row.integer(1) != 0 ? others : chosen).members.push_back(row.fixed<MemberId>(0));
        },
        noise, me));
    return chosen.members.empty() ? others : chosen;
}

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
