// What mend() keeps: rows of this node's own tables, and every event that still follows from the beginning of its log.

#include <algorithm>
#include <map>

#include "protocol/event/run_cutter.hpp"
#include "store/identity/identity.hpp"
#include "store/upkeep/last_check.hpp"
#include "store/upkeep/mend.hpp"
#include "store/upkeep/void_codes.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

// What a store knows that no peer does. Tables that follow from events are made anew. What peers were told, or told us,
// about arrivals must not be in this list: it is not true of the events that are left.
constexpr std::string_view own_tables[] = {"setting",      "epoch_key",     "invite",           "welcome",
                                           "peer",         "courier_place", "courier_former",   "returning_device",
                                           "fork_proof",   "wrap",          "drop_folder",      "voice_check",
                                           "courier_copy", "courier_code",  "courier_registrar"};
// Where the table of logs itself does not say how many rows it had.
constexpr std::int64_t log_rows_guess = 20'000;

struct Columns {
    std::vector<std::string> names;
    std::string key_downwards;  // the primary key, as ORDER BY has it
};

Result<Columns> columns_of(sqlite::Database& db, std::string_view table) {
    Columns out;
    const auto add = [&](const sqlite::Row& row) {
        out.names.push_back(row.text(0));
        if (row.integer(1) > 0) out.key_downwards += (out.key_downwards.empty() ? "" : ", ") + row.text(0) + " DESC";
    };
    TRY(db.query("SELECT name, pk FROM pragma_table_info(?1) ORDER BY pk", add, table));
    return out;
}

// Of a table of ours, so that the names need no care. A value as SQLite's quote() writes it keeps its type.
std::string rows_as_statements(std::string_view table, const std::vector<std::string>& columns) {
    std::string names;
    std::string values;
    for (const std::string& column : columns) {
        names += (names.empty() ? "" : ", ") + column;
        values += (values.empty() ? "" : " || ', ' || ") + ("quote(" + column + ")");
    }
    const std::string name(table);
    return "SELECT 'INSERT OR IGNORE INTO " + name + " (" + names + ") VALUES (' || " + values + " || ')' FROM " + name;
}

class Salvage {
public:
    Salvage(sqlite::Database& from, sqlite::Database& into, EventLog& log, const Progress& progress)
        : from_(from), into_(into), log_(log), progress_(progress) {}

    Result<void> take_own_tables() {
        for (const std::string_view table : own_tables) {
            TRY(take_table(table));
        }
        TRY(void_codes(into_));  // the log may be set aside, and with it who used them
        TRY(forget_checks(into_));
        return into_.run("DELETE FROM setting WHERE name = 'instance'");
    }

    Result<void> take_logs() {
        rows_ = log_rows();
        std::int64_t after = 0;
        for (;;) {
            const Result<std::optional<StoredLog>> found = next_stored_log(from_, after);
            if (!found) return take_logs_one_by_one(after + 1);
            if (!found.value()) return ok();
            after = found.value()->ref;
            TRY(take_log(*found.value()));
        }
    }

    Result<MendReport> report() {
        for (auto& [circle, one] : circles_) {
            TRY(into_.query(
                "SELECT name FROM circle WHERE circle = ?1", [&](const sqlite::Row& row) { one.name = row.text(0); },
                circle));
            report_.circles.push_back(one);
        }
        return std::move(report_);
    }

private:
    // From its beginning; where something does not open, from its end as well. A row that does not fit into a page goes
    // on in others, and to compare with it a search reads them all: so the row behind a damaged one is not to be asked
    // for by its key, but reached from the other side. Rows that came with the first pass are not taken twice.
    Result<void> take_table(std::string_view table) {
        TRY(const Columns columns, columns_of(into_, table));
        const std::string select = rows_as_statements(table, columns.names);
        TRY(const bool whole, take_rows(select));
        if (whole) return ok();
        report_.tables_short.emplace_back(table);
        TRY(take_rows(select + " ORDER BY " + columns.key_downwards));
        return ok();
    }

    // As far as they open; false if not all of them do.
    Result<bool> take_rows(const std::string& select) {
        std::optional<Error> failed;
        const Result<void> read = from_.query(select, [&](const sqlite::Row& row) -> Result<void> {
            std::string statement = row.text(0);
            Result<void> outcome = into_.execute(statement);
            wipe({reinterpret_cast<std::uint8_t*>(statement.data()), statement.size()});
            if (!outcome) failed = outcome.error();
            return outcome;
        });
        if (failed) return *failed;
        return read.has_value();
    }

    std::int64_t log_rows() {
        for (const char* sql : {"SELECT max(log_ref) FROM log NOT INDEXED", "SELECT max(log_ref) FROM event"}) {
            std::int64_t out = 0;
            if (from_.query(sql, [&](const sqlite::Row& row) { out = row.integer(0); })) return out;
        }
        return log_rows_guess;
    }

    // Past a page of the table of logs that does not open.
    Result<void> take_logs_one_by_one(std::int64_t ref) {
        for (; ref <= rows_; ++ref) {
            const Result<std::optional<StoredLog>> found = stored_log(from_, ref);
            if (!found) ++report_.logs_lost;
            if (!found || !found.value()) continue;
            TRY(take_log(*found.value()));
        }
        return ok();
    }

    Result<void> take_log(const StoredLog& log) {
        if (!goes_on(progress_, static_cast<std::uint64_t>(log.ref), static_cast<std::uint64_t>(rows_))) {
            return Error{Fault::cancelled, "Stopped; nothing was changed."};
        }
        ChainTip tip;
        if (is_genuine(log)) {
            for (bool more = true; more && tip.next_seq < log.next_seq;) {
                TRY(more, take_run(log, tip));
            }
        }
        if (tip.next_seq > 0 && log.mine) {
            TRY(into_.run("UPDATE log SET mine = 1, retired = 1 WHERE circle = ?1 AND log = ?2", log.circle, log.id));
        }
        CircleSalvage& circle = circles_[log.circle];
        circle.circle = log.circle;
        ++circle.logs;
        circle.kept += tip.next_seq;
        circle.lost += log.next_seq - tip.next_seq;
        return ok();
    }

    // Moves `tip` behind the run; false if nothing more of the log can be relied on.
    Result<bool> take_run(const StoredLog& log, ChainTip& tip) {
        RunCutter cutter(log.id, log.opening, tip);
        ChainPlace place{tip.next_seq, tip.head};
        std::vector<EventHeader> headers;
        while (place.seq < log.next_seq && cutter.wants_more()) {
            TRY(const ChainPiece piece, read_chain(from_, log, place, 1));
            if (piece.broken) break;
            cutter.add(piece.events.front());
            headers.push_back(piece.events.front().header);
        }
        const Run run = std::move(cutter).take();
        if (run.events.empty()) return false;
        const Result<Appended> appended = log_.append_run(log.circle, run);
        if (!appended && appended.error().fault() != Fault::peer) return appended.error();
        if (!appended || appended.value() != Appended::stored) return false;
        const EventHeader& last = headers[run.events.size() - 1];
        tip = {last.seq + 1, id_of(last), last.key, last.ctl};
        return true;
    }

    sqlite::Database& from_;
    sqlite::Database& into_;
    EventLog& log_;
    const Progress& progress_;
    std::int64_t rows_ = 0;
    std::map<CircleId, CircleSalvage> circles_;
    MendReport report_;
};

}  // namespace

std::uint64_t MendReport::lost() const {
    std::uint64_t out = 0;
    for (const CircleSalvage& one : circles) out += one.lost;
    return out;
}

Result<MendReport> salvage(sqlite::Database& from, sqlite::Database& into, EventLog& log, const Progress& progress) {
    Salvage salvage(from, into, log, progress);
    TRY(salvage.take_own_tables());
    if (!load_identity(into)) {
        return Error{Fault::damaged,
                     "The part of the store that holds its owner's keys cannot be read, so it cannot be mended; "
                     "everything is as it was. Restore a backup."};
    }
    TRY(log.prepare());
    TRY(salvage.take_logs());
    return salvage.report();
}

}  // namespace ladderline::store
