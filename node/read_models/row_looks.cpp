#include "node/read_models/row_looks.hpp"

#include <algorithm>

#include "node/read_models/shown_logs.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;
using store::sqlite::Database;
using store::sqlite::Row;

namespace {

using KeptLooks = std::map<std::int64_t, std::vector<std::pair<std::int32_t, RowLook>>>;  // by log

Result<KeptLooks> kept_looks(Database& db, const CircleId& circle, std::int32_t first, std::int32_t last) {
    KeptLooks out;
    TRY(db.query(
        "SELECT look.log_ref, look.period, look.look FROM author CROSS JOIN row_look AS look "
        "ON look.log_ref = author.log_ref AND look.period BETWEEN ?2 AND ?3 WHERE author.circle = ?1",
        [&](const Row& row) {
            const auto look = read_payload<RowLook>(row.blob(2));
            if (look) out[row.integer(0)].emplace_back(static_cast<std::int32_t>(row.integer(1)), *look);
        },
        circle, first, last));
    return out;
}

// The same look for the periods from that of its row on.
void go_on(std::vector<std::pair<std::int32_t, RowLook>>& looks, const RowLook& look, std::int32_t first,
           std::int32_t last) {
    for (std::int32_t p = std::max(first, look_period_of(utc_day(look.said))); p <= last; ++p) {
        looks.emplace_back(p, look);
    }
}

// From every row. False: they were in too many stages.
bool told_anew(const std::vector<Placed>& writes, std::int32_t first, std::int32_t last, RowsLookedAt& out) {
    std::optional<RowLook> before;
    for (const Placed& write : writes) {
        auto row = read_payload<ClubRowBody>(write.view.payload);
        if (!row) continue;
        const std::int32_t period = look_period_of(utc_day(write.view.said));
        if (before) go_on(out.looks, *before, first, std::min(last, period - 1));
        if (!out.story.add(write.view.said, *row)) return false;
        before = look_at(out.story, *row);
        out.newest = std::move(*row);
    }
    if (before) go_on(out.looks, *before, first, last);
    return true;
}

}  // namespace

Result<RowLooks> row_looks(Database& db, const CircleId& circle, std::int32_t first, std::int32_t last) {
    TRY(const auto logs, shown_logs(db, circle, kind::club_row));
    TRY(auto kept, kept_looks(db, circle, first, last));
    RowLooks out;
    for (const auto& [by, own] : logs) {
        RowsLookedAt one;
        const ShownLog& log = own.front();
        const bool is_kept = own.size() == 1 && log.is_plain;
        auto story = is_kept ? read_payload<RowStory>(log.story) : std::nullopt;
        auto row = story ? read_payload<ClubRowBody>(log.latest.payload) : std::nullopt;
        if (row) {
            if (const auto found = kept.find(log.ref); found != kept.end()) one.looks = std::move(found->second);
            go_on(one.looks, look_at(*story, *row), first, last);
            one.story = std::move(*story);
            one.newest = std::move(*row);
        } else {
            TRY(const auto all, all_writes(db, circle, kind::club_row, by, own));
            if (!told_anew(all, first, last, one)) {
                out.left_out += 1;
                continue;
            }
        }
        if (!one.story.is_empty()) out.of.emplace(by, std::move(one));
    }
    return out;
}

}  // namespace ladderline::node
