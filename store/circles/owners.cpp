#include "store/circles/owners.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <set>
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

struct Claim {
    bool unasked = false;
    bool by_unknown = false;  // who brought it is known only from circles that came like it
    std::size_t turn = 0;
    std::int64_t log = 0;  // the first that came of it
    CircleId circle;
    friend auto operator<=>(const Claim&, const Claim&) = default;
};

Result<Claim> claim_of(sqlite::Database& db, const MemberId& me, const CircleId& circle) {
    Claim out;
    out.circle = circle;
    TRY(db.query(
        "SELECT " + unasked("?1", "?2") + ", coalesce((SELECT min(log_ref) FROM log WHERE circle = ?1), ?3)",
        [&](const sqlite::Row& row) {
            out.unasked = row.integer(0) != 0;
            out.log = row.integer(1);
        },
        circle, me, std::numeric_limits<std::int64_t>::max()));
    return out;
}

Result<std::vector<DhPublic>> bringers(sqlite::Database& db, const CircleId& circle) {
    std::vector<DhPublic> out;
    TRY(db.query(
        "SELECT noise FROM welcome WHERE circle = ?1 ORDER BY noise",
        [&](const sqlite::Row& row) { out.push_back(row.fixed<DhPublic>(0)); }, circle));
    return out;
}

// The best that the claim has by any of the devices that brought it; each of their owners has had one turn more.
Result<void> give_turn(sqlite::Database& db, const MemberId& me, std::map<MemberId, std::size_t>& turns, Claim& claim) {
    std::set<MemberId> heard;
    auto best = std::pair(true, std::numeric_limits<std::size_t>::max());
    TRY(const auto devices, bringers(db, claim.circle));
    for (const DhPublic& noise : devices) {
        TRY(const Owners owners, owners_of(db, me, noise));
        for (const MemberId& member : owners.members) best = std::min(best, {owners.unasked_only, turns[member]});
        heard.insert(owners.members.begin(), owners.members.end());
    }
    for (const MemberId& member : heard) ++turns[member];
    std::tie(claim.by_unknown, claim.turn) = best;
    return ok();
}

// By an invite, and the circle has not come yet.
Result<bool> let_the_owner_in(sqlite::Database& db, const MemberId& me, const DhPublic& noise) {
    bool out = false;
    TRY(db.query(
        "SELECT 1 FROM welcome WHERE noise = ?1 AND device <> zeroblob(32) AND NOT EXISTS "
        "(SELECT 1 FROM member WHERE member.circle = welcome.circle AND member.member = ?2 AND removed <> 1) LIMIT 1",
        [&](const sqlite::Row&) { out = true; }, noise, me));
    return out;
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
    if (!chosen.members.empty()) return chosen;
    TRY(const bool is_host, let_the_owner_in(db, me, noise));
    return is_host ? chosen : others;
}

Result<bool> came_unasked(sqlite::Database& db, const CircleId& circle, const MemberId& me) {
    TRY(const Claim claim, claim_of(db, me, circle));
    return claim.unasked;
}

Result<std::vector<CircleId>> by_turns(sqlite::Database& db, const MemberId& me, const std::vector<CircleId>& circles) {
    std::vector<Claim> claims;
    for (const CircleId& circle : circles) {
        TRY(claims.emplace_back(), claim_of(db, me, circle));
    }
    std::sort(claims.begin(), claims.end());
    std::map<MemberId, std::size_t> turns;
    for (Claim& claim : claims) {
        if (!claim.unasked) continue;
        TRY(give_turn(db, me, turns, claim));
    }
    std::sort(claims.begin(), claims.end());
    std::vector<CircleId> out;
    for (const Claim& claim : claims) out.push_back(claim.circle);
    return out;
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
