// The side of the event log that a peer sees: heads, runs out, runs in.

#include "protocol/event/run_cutter.hpp"
#include "store/event_log/event_log.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

// Rows read at a time; the largest bodies make 4 MiB of them.
constexpr std::uint64_t read_events_max = 64;
// So little is worked out later together with the rest.
constexpr std::size_t settle_weight_min = 64;

// Sets a pointer for as long as it lives.
template <class T>
class StepScope {
public:
    StepScope(T*& where, T& step) : where_(where) { where_ = &step; }
    ~StepScope() { where_ = nullptr; }
    StepScope(const StepScope&) = delete;
    StepScope& operator=(const StepScope&) = delete;

private:
    T*& where_;
};

}  // namespace

LogHead EventLog::head_in(const sqlite::Row& row) {
    LogHead out{row.fixed<LogId>(0), static_cast<std::uint64_t>(row.integer(1)), row.fixed<EventId>(2)};
    if (row.is_null(3)) return out;
    out.fork = static_cast<std::uint64_t>(row.integer(3));
    if (out.next_seq <= *out.fork) return out;
    out.next_seq = *out.fork;
    out.head = row.is_null(5) ? EventId{} : row.fixed<EventId>(5);
    return out;
}

Result<std::vector<LogHead>> EventLog::heads(const CircleId& circle) {
    std::vector<LogHead> out;
    bool forked = false;
    TRY(db_.query(
        "SELECT 1 FROM fork_proof WHERE circle = ?1 LIMIT 1", [&](const sqlite::Row&) { forked = true; }, circle));
    if (!forked) {
        TRY(db_.query(
            "SELECT log, next_seq, head FROM log WHERE circle = ?1 AND next_seq > 0 ORDER BY log",
            [&](const sqlite::Row& row) {
                out.push_back({row.fixed<LogId>(0), static_cast<std::uint64_t>(row.integer(1)), row.fixed<EventId>(2)});
            },
            circle));
        return out;
    }
    TRY(db_.query(
        "SELECT log.log, log.next_seq, log.head, fork_proof.seq, 0, before.id FROM log "
        "LEFT JOIN fork_proof USING (circle, log) "
        "LEFT JOIN event AS before ON before.log_ref = log.log_ref AND before.seq = fork_proof.seq - 1 "
        "WHERE log.circle = ?1 AND (log.next_seq > 0 OR fork_proof.seq IS NOT NULL) ORDER BY log.log",
        [&](const sqlite::Row& row) { out.push_back(head_in(row)); }, circle));
    return out;
}

Result<std::uint64_t> EventLog::next_seq(const CircleId& circle, const LogId& log) {
    TRY(const auto found, find_log(circle, log));
    return found ? found->counting() : 0;
}

Result<std::optional<EventLog::Log>> EventLog::find_log(const CircleId& circle, const LogId& id) {
    std::optional<Log> out;
    TRY(db_.query(
        "SELECT log_ref, device, salt, founding, next_seq, head, fork_proof.seq FROM log "
        "LEFT JOIN fork_proof USING (circle, log) WHERE circle = ?1 AND log = ?2",
        [&](const sqlite::Row& row) {
            out = Log{row.integer(0),
                      id,
                      {row.fixed<DeviceId>(1), row.fixed<LogSalt>(2), row.integer(3) != 0},
                      static_cast<std::uint64_t>(row.integer(4)),
                      row.fixed<EventId>(5)};
            if (!row.is_null(6)) out->fork = static_cast<std::uint64_t>(row.integer(6));
        },
        circle, id));
    return out;
}

Result<std::int64_t> EventLog::insert_log(const CircleId& circle, const Log& log, bool mine) {
    TRY(
        db_.run("INSERT INTO log (circle, log, device, salt, founding, mine, next_seq, head) "
                "VALUES (?1, ?2, ?3, ?4, ?5, ?6, 0, ?7)",
                circle, log.id, log.opening.device, log.opening.salt, log.opening.founding, mine, EventId{}));
    return db_.last_insert_rowid();
}

Result<void> EventLog::store_events(const Log& log, std::span<const CheckedEvent> events) {
    TRY(const std::uint64_t before, arrivals());
    std::uint64_t arrival = before;
    for (const CheckedEvent& e : events) {
        const EventHeader& header = e.event.header;
        const Bytes ctl = codec::encode(header.ctl);
        TRY(db_.run(
            "INSERT INTO event (log_ref, seq, id, key_id, ctl, salt, signature, sealed, arrival) "
            "VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9)",
            log.ref, header.seq, e.id, header.key, ctl, header.salt, e.event.signature, e.event.sealed, ++arrival));
    }
    const CheckedEvent& last = events.back();
    return db_.run("UPDATE log SET next_seq = ?2, head = ?3, arrival = ?4 WHERE log_ref = ?1", log.ref,
                   last.event.header.seq + 1, last.id, arrival);
}

Result<Event> EventLog::read_event(const Log& log, const CircleId& circle, std::uint64_t seq) {
    std::optional<Event> out;
    TRY(db_.query(
        "SELECT this.key_id, this.ctl, this.salt, this.signature, this.sealed, before.id FROM event AS this "
        "LEFT JOIN event AS before ON before.log_ref = this.log_ref AND before.seq = this.seq - 1 "
        "WHERE this.log_ref = ?1 AND this.seq = ?2",
        [&](const sqlite::Row& row) -> Result<void> {
            Event event;
            EventHeader& header = event.header;
            header.circle = header_circle(circle, log.opening, seq);
            header.log = log.id;
            header.seq = seq;
            header.prev = row.fixed<EventId>(5);
            header.key = row.fixed<KeyId>(0);
            TRY(header.ctl, codec::decode<std::vector<EventId>>(row.blob(1)));
            header.salt = row.fixed<EventSalt>(2);
            event.signature = row.fixed<Signature>(3);
            event.sealed = row.blob(4);
            header.body_bytes = static_cast<std::uint32_t>(event.sealed.size());
            header.body_hash = hash_of_body(event.sealed);
            out = std::move(event);
            return ok();
        },
        log.ref, seq));
    if (!out) return Error{Fault::damaged, "An event that should be in this store is missing; run a check."};
    return std::move(*out);
}

Result<ChainTip> EventLog::tip_before(const Log& log, std::uint64_t seq) {
    ChainTip tip;
    tip.next_seq = seq;
    if (seq == 0) return tip;
    bool found = false;
    TRY(db_.query(
        "SELECT id, key_id, ctl FROM event WHERE log_ref = ?1 AND seq = ?2",
        [&](const sqlite::Row& row) -> Result<void> {
            found = true;
            tip.head = row.fixed<EventId>(0);
            tip.key = row.fixed<KeyId>(1);
            TRY(tip.ctl, codec::decode<std::vector<EventId>>(row.blob(2)));
            return ok();
        },
        log.ref, seq - 1));
    if (!found) return Error{Fault::damaged, "An event that should be in this store is missing; run a check."};
    return tip;
}

Result<std::vector<CheckedEvent>> EventLog::read_events(const Log& log, const CircleId& circle, const ChainTip& before,
                                                        std::uint64_t wanted) {
    std::vector<CheckedEvent> out;
    const std::uint64_t count = std::min(wanted, read_events_max);
    EventHeader header;
    header.log = log.id;
    header.seq = before.next_seq;
    header.prev = before.head;
    TRY(db_.query(
        "SELECT seq, id, key_id, ctl, salt, signature, sealed FROM event WHERE log_ref = ?1 AND seq >= ?2 "
        "ORDER BY seq LIMIT ?3",
        [&](const sqlite::Row& row) -> Result<void> {
            if (static_cast<std::uint64_t>(row.integer(0)) != header.seq) return ok();  // a gap: the caller sees it
            header.circle = header_circle(circle, log.opening, header.seq);
            header.key = row.fixed<KeyId>(2);
            TRY(header.ctl, codec::decode<std::vector<EventId>>(row.blob(3)));
            header.salt = row.fixed<EventSalt>(4);
            CheckedEvent e{row.fixed<EventId>(1), {header, row.fixed<Signature>(5), row.blob(6)}};
            e.event.header.body_bytes = static_cast<std::uint32_t>(e.event.sealed.size());
            e.event.header.body_hash = hash_of_body(e.event.sealed);
            header.prev = e.id;
            header.seq += 1;
            out.push_back(std::move(e));
            return ok();
        },
        log.ref, before.next_seq, count));
    if (out.size() != count) {
        return Error{Fault::damaged, "An event that should be in this store is missing; run a check."};
    }
    return out;
}

Result<Run> EventLog::read_run(const CircleId& circle, const LogId& id, std::uint64_t first_seq) {
    TRY(const auto log, find_log(circle, id));
    if (!log || first_seq >= log->counting()) return Error{Fault::not_found, "There are no such events here."};
    TRY(ChainTip at, tip_before(*log, first_seq));
    RunCutter cutter(id, log->opening, at);
    const auto wants = [&](std::uint64_t seq) { return cutter.wants_more(seq < log->counting()); };
    while (at.next_seq < log->next_seq && wants(at.next_seq)) {
        TRY(const auto events, read_events(*log, circle, at, log->next_seq - at.next_seq));
        for (const CheckedEvent& e : events) {
            if (wants(e.event.header.seq)) cutter.add(e.event);
        }
        at.next_seq += events.size();
        at.head = events.back().id;
    }
    Run run = std::move(cutter).take();
    if (!run.events.empty()) return run;
    // Of older versions some kept nothing from a fork on, and with it not the signature over what stands before.
    if (log->fork) return Error{Fault::not_found, "No signature over these events is here."};
    return Error{Fault::damaged, "Events in this store are not signed as they were; run a check."};
}

Result<std::optional<EventId>> EventLog::stored_id(const Log& log, std::uint64_t seq) {
    std::optional<EventId> id;
    TRY(db_.query(
        "SELECT id FROM event WHERE log_ref = ?1 AND seq = ?2",
        [&](const sqlite::Row& row) { id = row.fixed<EventId>(0); }, log.ref, seq));
    return id;
}

Result<std::optional<EventId>> EventLog::event_id(const CircleId& circle, const LogId& id, std::uint64_t seq) {
    TRY(const auto log, find_log(circle, id));
    if (!log || seq >= log->counting()) return std::optional<EventId>();
    return stored_id(*log, seq);
}

Result<Appended> EventLog::append_run(const CircleId& circle, const Run& run) {
    TRY(const auto outcomes, append_runs(circle, {run}));
    return outcomes.front();
}

Result<std::vector<Appended>> EventLog::append_runs(const CircleId& circle, const std::vector<Run>& runs) {
    return append_step(circle, runs, false);
}

Result<std::vector<Appended>> EventLog::append_burst(const CircleId& circle, const std::vector<Run>& runs) {
    return append_step(circle, runs, true);
}

Result<std::vector<Appended>> EventLog::append_step(const CircleId& circle, const std::vector<Run>& runs,
                                                    bool may_wait) {
    std::vector<Appended> out;
    if (runs.empty()) return out;
    Step step;
    const StepScope scope(step_, step);
    TRY(in_transaction([&]() -> Result<void> {
        bool new_log = false;
        for (const Run& run : runs) {
            TRY(const Appended outcome, take_run(circle, run, new_log));
            out.push_back(outcome);
        }
        const bool is_stored = std::find(out.begin(), out.end(), Appended::stored) != out.end();
        if (!is_stored) return ok();
        TRY(take_in_linked(new_log));
        if (step.latest_moved) {
            const Bytes encoded = codec::encode(*step.latest);
            TRY(put_setting(db_, "hybrid_time", encoded));
        }
        if (may_wait) return settle_or_wait(circle, new_log, step.weight);
        return settle(circle, new_log);
    }));
    return out;
}

// To work everything out costs as much as there is of it; done each time it has grown by a quarter, all of them cost a
// few times the last.
Result<void> EventLog::settle_or_wait(const CircleId& circle, bool new_log, std::size_t weight) {
    if (weight == 0 && !new_log) return ok();
    const auto [waiting, first] = backlog_.try_emplace(circle);
    waiting->second.weight += weight;
    if (first) {
        TRY(db_.query(
            "SELECT count(*) FROM log WHERE circle = ?1",
            [&](const sqlite::Row& row) { waiting->second.settled = static_cast<std::size_t>(row.integer(0)); },
            circle));
    }
    if (waiting->second.weight >= std::max(settle_weight_min, waiting->second.settled / 4)) {
        TRY(settle(circle, true));
        waiting->second.settled += std::exchange(waiting->second.weight, 0);
        return ok();
    }
    return db_.run("INSERT OR IGNORE INTO unsettled (circle) VALUES (?1)", circle);
}

Result<void> EventLog::end_burst(const CircleId& circle) {
    backlog_.erase(circle);
    TRY(const bool waits, is_unsettled(circle));
    if (!waits) return ok();
    return in_transaction([&] { return settle(circle, true); });
}

Result<std::vector<LogId>> EventLog::oldest_first(const CircleId& circle) {
    std::vector<LogId> out;
    TRY(db_.query(
        "SELECT log FROM log WHERE circle = ?1 ORDER BY log_ref",
        [&](const sqlite::Row& row) { out.push_back(row.fixed<LogId>(0)); }, circle));
    return out;
}

Result<Appended> EventLog::take_run(const CircleId& circle, const Run& run, bool& new_log) {
    TRY(auto log, find_log(circle, run.log));
    const std::uint64_t mine = log ? log->next_seq : 0;
    if (log && log->fork && run.first_seq >= *log->fork) return Appended::known;
    if (run.first_seq > mine) return Appended::gap;
    const LogOpening opening = log ? log->opening : run.opening.value_or(LogOpening{});
    if (run.opening && *run.opening != opening) return Error{Fault::peer, "A log was opened twice in different ways."};
    ChainTip tip;
    if (log) {
        TRY(tip, tip_before(*log, run.first_seq));
    }
    const auto result = check_run(circle, opening, tip, run);
    if (!result && log && run.first_seq > 0 && !run.events.empty()) return Appended::strange;
    TRY(const auto checked, result);
    const std::uint64_t counting = log ? log->counting() : 0;
    for (auto e = checked.begin(); e != checked.end() && e->event.header.seq < counting; ++e) {
        TRY(const auto held, stored_id(*log, e->event.header.seq));
        if (held == e->id) continue;
        TRY(note_fork(circle, *log, {e, checked.end()}));
        return Appended::forked;
    }
    if (checked.back().event.header.seq < mine || (log && log->fork && mine >= *log->fork)) return Appended::known;
    if (!log) {
        log = Log{0, run.log, opening, 0, {}};
        TRY(log->ref, insert_log(circle, *log, false));
    }
    std::span<const CheckedEvent> fresh = checked;
    fresh = fresh.subspan(mine - run.first_seq);
    if (log->fork) fresh = fresh.first(kept_at_fork(fresh, *log->fork - mine, opening));
    TRY(store_events(*log, fresh));
    for (const CheckedEvent& e : fresh) {
        TRY(open_and_take_in(*log, circle, e.id, e.event));
    }
    if (mine == 0) {
        new_log = true;
        if (step_ != nullptr) step_->weight += 1;
    }
    return Appended::stored;
}

}  // namespace ladderline::store
