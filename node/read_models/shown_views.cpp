#include "node/read_models/shown_views.hpp"

#include <algorithm>

#include "node/read_models/dropped.hpp"
#include "node/read_models/shown_logs.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;
using store::sqlite::Database;
using store::sqlite::Row;

namespace {

Result<std::optional<ShownView>> newest(Database& db, const CircleId& circle, std::uint16_t kind, const MemberId& by,
                                        std::vector<ShownLog>& logs) {
    const bool is_kept = logs.size() == 1 && logs.front().is_plain && !logs.front().is_replaced;
    if (is_kept) return std::optional(std::move(logs.front().latest));
    TRY(auto all, all_writes(db, circle, kind, by, logs));
    const auto found = std::find_if(all.rbegin(), all.rend(), [](const Placed& write) { return write.stands; });
    return found == all.rend() ? std::nullopt : std::optional(std::move(found->view));
}

RowStory story_of(const std::vector<Placed>& writes) {
    RowStory out;
    for (const Placed& write : writes) {
        const auto row = read_payload<ClubRowBody>(write.view.payload);
        if (row && !out.add(write.view.said, *row)) break;  // further back and forth tells nothing new
    }
    return out;
}

}  // namespace

Result<std::vector<ShownView>> shown(Database& db, const CircleId& circle, std::uint16_t kind) {
    TRY(auto logs, shown_logs(db, circle, kind));
    std::vector<ShownView> out;
    for (auto& [by, own] : logs) {
        TRY(auto view, newest(db, circle, kind, by, own));
        if (view) out.push_back(std::move(*view));
    }
    return out;
}

Result<std::optional<ShownView>> shown_by(Database& db, const CircleId& circle, std::uint16_t kind,
                                          const MemberId& author) {
    TRY(auto logs, shown_logs(db, circle, kind, author));
    if (logs.empty()) return std::optional<ShownView>();
    return newest(db, circle, kind, author, logs.begin()->second);
}

Result<std::vector<ShownView>> shown_history(Database& db, const CircleId& circle, std::uint16_t kind) {
    TRY(const Dropped marks, dropped(db, circle));
    std::vector<ShownView> out;
    TRY(db.query(
        "SELECT author.member, shown.id, shown.said, shown.payload FROM shown JOIN author USING (log_ref) "
        "WHERE shown.circle = ?1 AND shown.kind = ?2 AND shown.seq BETWEEN author.seq_min AND author.seq_max "
        "ORDER BY shown.said, shown.count, shown.id",
        [&](const Row& row) {
            ShownView view{row.fixed<MemberId>(0), row.fixed<EventId>(1), WallTime{row.integer(2)}, row.blob(3)};
            if (!is_dropped(marks, view.by, kind, view.said)) out.push_back(std::move(view));
        },
        circle, kind));
    return out;
}

Result<std::map<MemberId, WallTime>> first_shown(Database& db, const CircleId& circle, std::uint16_t kind) {
    TRY(const auto logs, shown_logs(db, circle, kind, {}, Read::times));
    std::map<MemberId, WallTime> out;
    for (const auto& [by, own] : logs) {
        std::optional<WallTime> first;
        if (std::ranges::all_of(own, &ShownLog::is_plain)) {
            first = std::ranges::min_element(own, {}, &ShownLog::said_first)->said_first;
        } else {
            TRY(const auto all, all_writes(db, circle, kind, by, own));
            if (!all.empty()) first = all.front().view.said;
        }
        if (first) out[by] = *first;
    }
    return out;
}

Result<std::map<MemberId, ToldRows>> row_stories(Database& db, const CircleId& circle) {
    TRY(auto logs, shown_logs(db, circle, kind::club_row));
    std::map<MemberId, ToldRows> out;
    for (auto& [by, own] : logs) {
        std::optional<RowStory> story;
        if (own.size() == 1 && own.front().is_plain) story = read_payload<RowStory>(own.front().story);
        if (!story) {
            TRY(const auto all, all_writes(db, circle, kind::club_row, by, own));
            story = story_of(all);
        }
        if (story->is_empty()) continue;
        TRY(auto view, newest(db, circle, kind::club_row, by, own));
        out[by] = {std::move(view), std::move(*story)};
    }
    return out;
}

Result<std::map<MemberId, ClubRowBody>> rows_at(Database& db, const CircleId& circle, Day day) {
    TRY(const auto logs, shown_logs(db, circle, kind::club_row));
    std::map<MemberId, ClubRowBody> out;
    for (const auto& [by, own] : logs) {
        std::optional<ClubRowBody> row;
        if (own.size() == 1 && own.front().is_plain) {
            TRY(db.query(
                "SELECT payload FROM shown WHERE circle = ?1 AND kind = ?2 AND log_ref = ?3 AND said < ?4 "
                "ORDER BY seq DESC LIMIT 1",
                [&](const Row& found) { row = read_payload<ClubRowBody>(found.blob(0)); }, circle, kind::club_row,
                own.front().ref, start_of(day + 1)));
        } else {
            TRY(const auto all, all_writes(db, circle, kind::club_row, by, own));
            for (const Placed& write : all) {
                if (utc_day(write.view.said) <= day) row = read_payload<ClubRowBody>(write.view.payload);
            }
        }
        if (row) out[by] = std::move(*row);
    }
    return out;
}

}  // namespace ladderline::node
