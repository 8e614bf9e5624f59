#include "node/commands/heard_from.hpp"

#include "protocol/event/kinds.hpp"

namespace ladderline::node {

namespace kind = protocol::kind;

Result<std::optional<WallTime>> heard_from_owner(Context& context, const WayView& way) {
    std::optional<WallTime> out;
    TRY(context.db.query(
        "WITH own AS (SELECT log_ref, seq_min, seq_max FROM author WHERE circle = ?1 AND member = ?2), "
        "word AS (SELECT log_ref, seq, said FROM statement WHERE circle = ?1 "
        "UNION ALL SELECT log_ref, seq, said FROM contact WHERE circle = ?1 "
        "UNION ALL SELECT log_ref, seq, said FROM contact_change WHERE circle = ?1 "
        "UNION ALL SELECT log_ref, seq, said FROM shown WHERE circle = ?1 AND kind IN (?3, ?4) "
        "UNION ALL SELECT o.log_ref, o.seq, o.said FROM meeting_outcome AS o JOIN meeting AS m ON m.id = o.meeting "
        "WHERE m.circle = ?1) "
        "SELECT max(said) FROM word JOIN own USING (log_ref) WHERE seq BETWEEN seq_min AND seq_max",
        [&](const store::sqlite::Row& row) {
            if (!row.is_null(0)) out = WallTime{row.integer(0)};
        },
        way.circle.id, way.owner.id, kind::ask, kind::known_date));
    return out;
}

}  // namespace ladderline::node
