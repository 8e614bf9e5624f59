#include "node/read_models/shown_views.hpp"

#include <algorithm>
#include <tuple>

#include "node/read_models/dropped.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;
using store::sqlite::Database;
using store::sqlite::Row;

namespace {

// A log of an author with writes of one kind.
struct ShownLog {
    std::int64_t ref = 0;
    std::int64_t seq_min = 0;  // those that count
    std::int64_t seq_max = 0;
    WallTime said_first;
    ShownView latest;
    bool is_plain = false;     // from first to last all count, in order of their times
    bool is_replaced = false;  // the latest, by a later write of its author
    Bytes story;
    std::optional<WallTime> dropped_until = {};  // what was said up to then is shown to nobody
};
using ShownLogs = std::map<MemberId, std::vector<ShownLog>>;

enum class Read : std::uint8_t { all, times };  // `times`: without what was said, and whether it was replaced

// Only `author`'s if one is given.
Result<ShownLogs> shown_logs(Database& db, const CircleId& circle, std::uint16_t kind,
                             const std::optional<MemberId>& author = {}, Read read = Read::all) {
    ShownLogs out;
    TRY(db.query(
        "SELECT a.member, l.log_ref, a.seq_min, a.seq_max, l.said_first, l.id, l.said, iif(?4, l.payload, x''), "
        "l.plain AND l.seq_first >= a.seq_min AND l.seq <= a.seq_max, "
        "?4 AND EXISTS (SELECT 1 FROM superseded AS s JOIN author AS later ON later.log_ref = s.log_ref "
        "WHERE s.id = l.id AND s.seq BETWEEN later.seq_min AND later.seq_max AND later.member = a.member), "
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

// A write with its place among those of other logs.
struct Placed {
    std::int64_t count = 0;
    bool stands = false;  // no later write of its author took its place
    ShownView view;

    auto order() const { return std::tie(view.said, count, view.id); }
};

// Every write that counts, in order of time.
Result<std::vector<Placed>> all_writes(Database& db, const CircleId& circle, std::uint16_t kind, const MemberId& by,
                                       const std::vector<ShownLog>& logs) {
    std::vector<Placed> out;
    for (const ShownLog& log : logs) {
        TRY(db.query(
            "SELECT id, said, count, payload, NOT EXISTS (SELECT 1 FROM superseded AS s JOIN author AS later "
            "ON later.log_ref = s.log_ref WHERE s.id = shown.id AND s.seq BETWEEN later.seq_min AND later.seq_max "
            "AND later.member = ?6) "
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
