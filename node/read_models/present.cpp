#include "node/read_models/present.hpp"

namespace ladderline::node {

using namespace protocol;

Result<std::set<MemberId>> members_present(store::sqlite::Database& db, const CircleId& circle) {
    std::set<MemberId> out;
    TRY(db.query(
        "SELECT member FROM member WHERE circle = ?1 AND removed = 0 ORDER BY member",
        [&](const store::sqlite::Row& row) { out.insert(out.end(), row.fixed<MemberId>(0)); }, circle));
    return out;
}

Result<std::set<MemberId>> members_present(store::sqlite::Database& db, const CircleId& circle, MemberRole role) {
    std::set<MemberId> out;
    TRY(db.query(
        "SELECT member FROM member WHERE circle = ?1 AND removed = 0 AND role = ?2 ORDER BY member",
        [&](const store::sqlite::Row& row) { out.insert(out.end(), row.fixed<MemberId>(0)); }, circle, role));
    return out;
}

}  // namespace ladderline::node
