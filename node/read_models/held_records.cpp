#include "node/read_models/held_records.hpp"

#include <algorithm>
#include <limits>

#include "node/read_models/shown_logs.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;
using store::sqlite::Database;
using store::sqlite::Row;

namespace {

Result<int> count_of(Database& db, const CircleId& circle, std::uint16_t kind, const std::vector<ShownLog>& logs) {
    std::int64_t out = 0;
    for (const ShownLog& log : logs) {
        const std::int64_t after = log.dropped_until ? log.dropped_until->ms : std::numeric_limits<std::int64_t>::min();
        TRY(db.query(
            "SELECT count(*) FROM shown WHERE circle = ?1 AND kind = ?2 AND log_ref = ?3 AND seq BETWEEN ?4 AND ?5 "
            "AND said > ?6",
            [&](const Row& row) { out += row.integer(0); }, circle, kind, log.ref, log.seq_min, log.seq_max, after));
    }
    return static_cast<int>(std::min<std::int64_t>(out, std::numeric_limits<int>::max()));
}

}  // namespace

Result<std::set<MemberId>> who_showed(Database& db, const CircleId& circle, std::uint16_t kind) {
    TRY(const auto logs, shown_logs(db, circle, kind, {}, Read::times));
    std::set<MemberId> out;
    for (const auto& [by, own] : logs) {
        bool has_some = std::ranges::any_of(own, &ShownLog::is_plain);
        if (!has_some) {
            TRY(const int count, count_of(db, circle, kind, own));
            has_some = count > 0;
        }
        if (has_some) out.insert(out.end(), by);
    }
    return out;
}

Result<std::map<MemberId, int>> count_shown(Database& db, const CircleId& circle, std::uint16_t kind,
                                            const std::set<MemberId>& whose) {
    TRY(const auto logs, shown_logs(db, circle, kind, {}, Read::times));
    std::map<MemberId, int> out;
    for (const MemberId& id : whose) {
        const auto found = logs.find(id);
        if (found == logs.end()) continue;
        TRY(const int count, count_of(db, circle, kind, found->second));
        if (count > 0) out[id] = count;
    }
    return out;
}

Result<std::map<MemberId, Day>> consents_named(Database& db, const CircleId& circle) {
    TRY(const auto logs, shown_logs(db, circle, kind::club_row));
    std::map<MemberId, Day> out;
    for (const auto& [by, own] : logs) {
        std::optional<ClubRowBody> newest;
        if (own.size() == 1 && own.front().is_plain) {
            newest = read_payload<ClubRowBody>(own.front().latest.payload);
        } else {
            TRY(const auto all, all_writes(db, circle, kind::club_row, by, own));
            for (auto write = all.rbegin(); write != all.rend() && !newest; ++write) {
                newest = read_payload<ClubRowBody>(write->view.payload);
            }
        }
        if (newest) out[by] = newest->consent_until;
    }
    return out;
}

}  // namespace ladderline::node
