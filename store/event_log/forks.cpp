// Logs that are proven to fork, and what this store and a peer's had in common.

#include "store/event_log/event_log.hpp"
#include "store/upkeep/instance.hpp"

namespace ladderline::store {

using namespace protocol;

Result<std::optional<ForkProof>> EventLog::fork_proof(const CircleId& circle, const LogId& log) {
    std::optional<ForkProof> out;
    TRY(db_.query(
        "SELECT proof FROM fork_proof WHERE circle = ?1 AND log = ?2",
        [&](const sqlite::Row& row) -> Result<void> {
            TRY(out, codec::decode<ForkProof>(row.blob(0)));
            return ok();
        },
        circle, log));
    return out;
}

Result<bool> EventLog::append_fork_proof(const CircleId& circle, const ForkProof& proof) {
    bool is_new = false;
    TRY(in_transaction([&]() -> Result<void> {
        TRY(const auto held, find_log(circle, log_of(circle, proof)));
        TRY(is_new, put_fork_proof(circle, proof));
        // Where nothing of the log is here nobody's word changes, so made-up proofs make nobody fold.
        const bool changes = is_new && held && held->next_seq > 0;
        return changes ? settle(circle, true) : ok();
    }));
    return is_new;
}

Result<bool> EventLog::put_fork_proof(const CircleId& circle, const ForkProof& proof) {
    const LogId id = log_of(circle, proof);
    TRY(auto log, find_log(circle, id));
    if (log && log->fork && *log->fork <= proof.seq) return false;
    if (!log) {
        log = Log{0, id, proof.opening, 0, {}, std::nullopt};
        TRY(log->ref, insert_log(circle, *log, false));
    }
    const Bytes encoded = codec::encode(proof);
    TRY(
        db_.run("INSERT INTO fork_proof (circle, log, seq, proof) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (circle, log) "
                "DO UPDATE SET seq = excluded.seq, proof = excluded.proof",
                circle, id, proof.seq, encoded));
    TRY(db_.run("UPDATE log SET arrival = (SELECT max(arrival) FROM log) + 1 WHERE log_ref = ?1", log->ref));
    return true;
}

// Both branches from the fork on, as far as a proof needs them. `theirs` begins at the event that differs.
Result<void> EventLog::note_fork(const CircleId& circle, const Log& log, const std::vector<CheckedEvent>& theirs) {
    const std::uint64_t seq = theirs.front().event.header.seq;
    std::vector<CheckedEvent> mine;
    for (std::uint64_t at = seq; at < log.next_seq && mine.size() < limits::fork_links_max; ++at) {
        TRY(Event event, read_event(log, circle, at));
        const EventId id = id_of(event.header);
        const bool is_signed = verify(id.view(), event.signature, signing_key(log.opening.device));
        mine.push_back({id, std::move(event)});
        if (is_signed) break;
    }
    const auto proof = prove_fork(log.opening, mine, theirs);
    if (!proof) return ok();
    TRY(const bool is_new, put_fork_proof(circle, *proof));
    return is_new ? settle(circle, true) : ok();
}

Result<std::vector<ForkedLog>> forked_logs(sqlite::Database& db, const CircleId& circle) {
    std::vector<ForkedLog> out;
    TRY(db.query(
        "SELECT log.device, fork_proof.log, fork_proof.seq, max(log.next_seq - fork_proof.seq, 0) FROM fork_proof "
        "JOIN log ON log.circle = fork_proof.circle AND log.log = fork_proof.log "
        "WHERE fork_proof.circle = ?1 ORDER BY fork_proof.log",
        [&](const sqlite::Row& row) {
            out.push_back({row.fixed<DeviceId>(0), row.fixed<LogId>(1), static_cast<std::uint64_t>(row.integer(2)),
                           static_cast<std::uint64_t>(row.integer(3))});
        },
        circle));
    return out;
}

Result<std::optional<Position>> EventLog::position() {
    TRY(const auto instance, instance_of(db_));
    if (!instance) return std::optional<Position>();
    TRY(const std::uint64_t count, arrivals());
    return std::optional(Position{InstanceTag::from(instance->view().first(InstanceTag::size)), count});
}

Result<std::vector<LogChange>> EventLog::changes_since(const CircleId& circle, std::uint64_t arrival) {
    std::vector<LogChange> out;
    TRY(db_.query(
        "SELECT log.log, log.next_seq, log.head, fork_proof.seq, "
        "coalesce((SELECT seq FROM event WHERE event.log_ref = log.log_ref AND event.arrival <= ?2 "
        "ORDER BY seq DESC LIMIT 1) + 1, 0), before.id "
        "FROM log INDEXED BY log_by_arrival LEFT JOIN fork_proof USING (circle, log) "
        "LEFT JOIN event AS before ON before.log_ref = log.log_ref AND before.seq = fork_proof.seq - 1 "
        "WHERE log.arrival > ?2 AND log.circle = ?1",
        [&](const sqlite::Row& row) {
            LogChange change{head_in(row), static_cast<std::uint64_t>(row.integer(4))};
            change.from = std::min(change.from, change.now.next_seq);
            out.push_back(change);
        },
        circle, arrival));
    return out;
}

Result<std::optional<Cursor>> EventLog::cursor_for(const CircleId& circle, const PeerTag& peer) {
    std::optional<Cursor> out;
    TRY(db_.query(
        "SELECT peer_arrivals, own_arrivals FROM sync_cursor WHERE circle = ?1 AND peer = ?2",
        [&](const sqlite::Row& row) {
            out = Cursor{static_cast<std::uint64_t>(row.integer(0)), static_cast<std::uint64_t>(row.integer(1))};
        },
        circle, peer));
    return out;
}

Result<void> EventLog::keep_cursor(const CircleId& circle, const PeerTag& peer, const std::optional<Cursor>& cursor) {
    TRY(const auto kept, cursor_for(circle, peer));
    if (kept == cursor) return ok();
    if (!cursor) return db_.run("DELETE FROM sync_cursor WHERE circle = ?1 AND peer = ?2", circle, peer);
    return db_.run(
        "INSERT INTO sync_cursor (circle, peer, peer_arrivals, own_arrivals) VALUES (?1, ?2, ?3, ?4) "
        "ON CONFLICT (circle, peer) DO UPDATE SET peer_arrivals = excluded.peer_arrivals, "
        "own_arrivals = excluded.own_arrivals",
        circle, peer, cursor->peer_arrivals, cursor->own_arrivals);
}

}  // namespace ladderline::store
