#include "node/read_models/shown_logs.hpp"

#include <algorithm>

#include "node/read_models/dropped.hpp"

namespace ladderline::node {

using namespace protocol;
using store::sqlite::Database;
using store::sqlite::Row;

Result<ShownLogs> shown_logs(Database& db, const CircleId& circle, std::uint16_t kind,
                             const std::optional<MemberId>& author, Read read) {
    ShownLogs out;
    TRY(db.query(
        "SELECT a.member, l.log_ref, a.seq_min, a.seq_max, l.said_first, l.id, l.said, iif(?4, l.payload, x''), "
        "l.plain AND l.seq_first >= a.seq_min AND l.seq <= a.seq_max, "
        "?4 AND EXISTS (SELECT 1 FROM superseded AS s JOIN author AS later ON later.log_ref = s.log_ref "
        "WHERE s.id = l.id AND s.seq BETWEEN later.seq_min AND later.seq_max AND later.member = a.member "
        "AND later.circle = ?1), "
        "iif(?4, l.story, x'') "
        "FROM shown_latest AS l JOIN author AS a USING (log_ref) "
        "WHERE l.circle = ?1 AND l.kind = ?2 AND (?3 IS NULL OR a.member = ?3)",
        [&](const Row& row) {
            const auto by = row.fixed<MemberId>(0);
            out[by].push_back({row.integer(1),
                               row.integer(2),
                               row.integer(3),
                               WallTime{row.integer(4)},
                               {by, row.fixed<EventId>(5), WallTime{row.integer(6)}, row.blob(7)},
                               row.integer(8) != 0,
                               row.integer(9) != 0,
                               row.blob(10)});
        },
        circle, kind, author, read == Read::all));
    TRY(const Dropped marks, dropped(db, circle));
    for (const auto& [whose, until] : marks) {
        const auto found = whose.second == kind ? out.find(whose.first) : out.end();
        if (found == out.end()) continue;
        std::erase_if(found->second, [&](const ShownLog& log) { return log.is_plain && log.latest.said <= until; });
        for (ShownLog& log : found->second) {
            log.is_plain = false;
            log.dropped_until = until;
        }
        if (found->second.empty()) out.erase(found);
    }
    return out;
}

Result<std::vector<Placed>> all_writes(Database& db, const CircleId& circle, std::uint16_t kind, const MemberId& by,
                                       const std::vector<ShownLog>& logs) {
    std::vector<Placed> out;
    for (const ShownLog& log : logs) {
        TRY(db.query(
            "SELECT id, said, count, payload, NOT EXISTS (SELECT 1 FROM superseded AS s JOIN author AS later "
            "ON later.log_ref = s.log_ref WHERE s.id = shown.id AND s.seq BETWEEN later.seq_min AND later.seq_max "
            "AND later.member = ?6 AND later.circle = ?1) "
            "FROM shown WHERE circle = ?1 AND kind = ?2 AND log_ref = ?3 AND seq BETWEEN ?4 AND ?5",
            [&](const Row& row) {
                if (log.dropped_until && WallTime{row.integer(1)} <= *log.dropped_until) return;
                out.push_back({row.integer(2),
                               row.integer(4) != 0,
                               {by, row.fixed<EventId>(0), WallTime{row.integer(1)}, row.blob(3)}});
            },
            circle, kind, log.ref, log.seq_min, log.seq_max, by));
    }
    std::sort(out.begin(), out.end(), [](const Placed& a, const Placed& b) { return a.order() < b.order(); });
    return out;
}

}  // namespace ladderline::node
