// The side of the event log that a peer sees: heads, runs out, runs in.

#include "protocol/event/run_cutter.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

using namespace protocol;

Result<std::vector<LogHead>> EventLog::heads(const CircleId& circle) {
    std::vector<LogHead> out;
    TRY(db_.query(
        "SELECT log, next_seq, head FROM log WHERE circle = ?1 AND next_seq > 0 ORDER BY log",
        [&](const sqlite::Row& row) {
            out.push_back({row.fixed<LogId>(0), static_cast<std::uint64_t>(row.integer(1)), row.fixed<EventId>(2)});
        },
        circle));
    return out;
}

Result<std::uint64_t> EventLog::next_seq(const CircleId& circle, const LogId& log) {
    TRY(const auto found, find_log(circle, log));
    return found ? found->next_seq : 0;
}

Result<std::optional<EventLog::Log>> EventLog::find_log(const CircleId& circle, const LogId& id) {
    std::optional<Log> out;
    TRY(db_.query(
        "SELECT log_ref, device, salt, founding, next_seq, head FROM log WHERE circle = ?1 AND log = ?2",
        [&](const sqlite::Row& row) {
            out = Log{row.integer(0),
                      id,
                      {row.fixed<DeviceId>(1), row.fixed<LogSalt>(2), row.integer(3) != 0},
                      static_cast<std::uint64_t>(row.integer(4)),
                      row.fixed<EventId>(5)};
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

Result<void> EventLog::store_event(const Log& log, const EventId& id, const Event& event) {
    const Bytes ctl = codec::encode(event.header.ctl);
    TRY(db_.run(
        "INSERT INTO event (log_ref, seq, id, key_id, ctl, salt, signature, sealed) "
        "VALUES (?1,?2,?3,?4,?5,?6,?7,?8)",
        log.ref, event.header.seq, id, event.header.key, ctl, event.header.salt, event.signature, event.sealed));
    return db_.run(
        "UPDATE log SET next_seq = ?2, head = ?3, arrival = (SELECT max(arrival) FROM log) + 1 WHERE log_ref = ?1",
        log.ref, event.header.seq + 1, id);
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

Result<Run> EventLog::read_run(const CircleId& circle, const LogId& id, std::uint64_t first_seq) {
    TRY(const auto log, find_log(circle, id));
    if (!log || first_seq >= log->next_seq) return Error{Fault::not_found, "There are no such events here."};
    TRY(const ChainTip before, tip_before(*log, first_seq));
    RunCutter cutter(id, log->opening, before);
    for (std::uint64_t seq = first_seq; seq < log->next_seq && cutter.wants_more(); ++seq) {
        TRY(const Event event, read_event(*log, circle, seq));
        cutter.add(event);
    }
    Run run = std::move(cutter).take();
    if (run.events.empty())
        return Error{Fault::damaged, "Events in this store are not signed as they were; run a check."};
    return run;
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
    if (!log || seq >= log->next_seq) return std::optional<EventId>();
    return stored_id(*log, seq);
}

Result<Appended> EventLog::append_run(const CircleId& circle, const Run& run) {
    TRY(auto log, find_log(circle, run.log));
    const std::uint64_t mine = log ? log->next_seq : 0;
    if (run.first_seq > mine) return Appended::gap;
    const LogOpening opening = log ? log->opening : run.opening.value_or(LogOpening{});
    if (run.opening && *run.opening != opening) return Error{Fault::peer, "A log was opened twice in different ways."};
    ChainTip tip;
    if (log) {
        TRY(tip, tip_before(*log, run.first_seq));
    }
    TRY(const auto checked, check_run(circle, opening, tip, run));
    for (const CheckedEvent& e : checked) {
        if (e.event.header.seq >= mine) break;
        TRY(const auto held, stored_id(*log, e.event.header.seq));
        if (held != e.id) return Appended::forked;
    }
    if (checked.back().event.header.seq < mine) return Appended::known;
    TRY(in_transaction([&]() -> Result<void> {
        if (!log) {
            log = Log{0, run.log, opening, 0, {}};
            TRY(log->ref, insert_log(circle, *log, false));
        }
        for (const CheckedEvent& e : checked) {
            if (e.event.header.seq < mine) continue;
            TRY(store_event(*log, e.id, e.event));
            TRY(open_and_take_in(*log, circle, e.id, e.event));
        }
        return settle(circle, mine == 0);
    }));
    return Appended::stored;
}

}  // namespace ladderline::store
