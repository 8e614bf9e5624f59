#include "store/courier/courier_desk.hpp"

namespace ladderline::store {

using namespace protocol;

namespace {

std::uint64_t less(std::uint64_t from, std::uint64_t taken) {
    return from > taken ? from - taken : 0;
}

// Of a log: how far it goes, beyond a fork too, and what the proof of that fork takes.
struct Kept {
    std::uint64_t next_seq = 0;
    std::uint64_t proof_bytes = 0;
};

Result<Kept> kept_of(sqlite::Database& db, const CircleId& circle, const LogId& log) {
    Kept out;
    TRY(db.query(
        "SELECT log.next_seq, coalesce(length(fork_proof.proof) + ?3, 0) FROM log LEFT JOIN fork_proof "
        "USING (circle, log) WHERE log.circle = ?1 AND log.log = ?2",
        [&](const sqlite::Row& row) {
            out = {static_cast<std::uint64_t>(row.integer(0)), static_cast<std::uint64_t>(row.integer(1))};
        },
        circle, log, event_overhead_bytes));
    return out;
}

// At most so much is added by the proof of a fork that the run makes: nothing if it only goes on behind what is kept.
std::uint64_t proof_bytes_max(const Kept& kept, const Run& run) {
    constexpr std::uint64_t link_bytes_max =
        1 + limits::control_heads_max * EventId::size + KeyId::size + 5 + BodyHash::size + EventSalt::size;
    constexpr std::uint64_t frame_bytes_max =
        DeviceId::size + LogSalt::size + 1 + 10 + EventId::size + 2 * (2 + Signature::size);
    if (run.first_seq >= kept.next_seq) return 0;
    const std::uint64_t mine = std::min<std::uint64_t>(kept.next_seq - run.first_seq, limits::fork_links_max);
    const std::uint64_t theirs = std::min<std::uint64_t>(run.events.size(), limits::fork_links_max);
    return event_overhead_bytes + frame_bytes_max + (mine + theirs) * link_bytes_max;
}

}  // namespace

Result<QuotaView::Room> QuotaView::room_of(const CircleId& circle) {
    Room room;
    TRY(db_.query(
        "SELECT quota, used FROM courier_place WHERE circle = ?1",
        [&](const sqlite::Row& row) {
            room.place = less(static_cast<std::uint64_t>(row.integer(0)), static_cast<std::uint64_t>(row.integer(1)));
        },
        circle));
    return room;
}

// What a log may still grow by today.
Result<std::uint64_t> QuotaView::room_of_log(const CircleId& circle, const LogId& log) {
    std::uint64_t room = limits::courier_log_day_bytes_max;
    TRY(db_.query(
        "SELECT bytes FROM courier_growth WHERE circle = ?1 AND log = ?2 AND day = ?3",
        [&](const sqlite::Row& row) { room = less(room, static_cast<std::uint64_t>(row.integer(0))); }, circle, log,
        today_));
    return room;
}

void QuotaView::refuse(const CircleId& circle, FullReason reason) {
    if (told_.emplace(circle, reason).second) refusals_.push_back({circle, reason});
}

Result<bool> QuotaView::fits(const CircleId& circle, const Run& run, std::uint64_t bytes, Room& room) {
    auto log = room.logs.find(run.log);
    if (log == room.logs.end()) {
        TRY(const std::uint64_t left, room_of_log(circle, run.log));
        log = room.logs.emplace(run.log, left).first;
    }
    if (bytes > log->second) {
        refuse(circle, FullReason::log);
        log->second = 0;
        return false;
    }
    if (bytes > room.place) {
        refuse(circle, FullReason::place);
        room.place = 0;
        return false;
    }
    log->second -= bytes;
    room.place -= bytes;
    return true;
}

// Of the events that are not here yet.
Result<std::uint64_t> QuotaView::new_bytes(const CircleId& circle, const Run& run) {
    TRY(const std::uint64_t held, next_seq(circle, run.log));
    std::uint64_t bytes = 0;
    for (std::size_t i = 0; i < run.events.size(); ++i) {
        if (run.first_seq + i >= held) bytes += run.events[i].sealed.size() + event_overhead_bytes;
    }
    return bytes;
}

Result<void> QuotaView::count(const CircleId& circle, const LogId& log, std::uint64_t bytes) {
    TRY(db_.run("UPDATE courier_place SET used = used + ?2 WHERE circle = ?1", circle, bytes));
    return db_.run(
        "INSERT INTO courier_growth (circle, log, day, bytes) VALUES (?1, ?2, ?3, ?4) ON CONFLICT (circle, log) "
        "DO UPDATE SET bytes = CASE day WHEN excluded.day THEN bytes ELSE 0 END + excluded.bytes, day = excluded.day",
        circle, log, today_, bytes);
}

Result<Appended> QuotaView::append_run(const CircleId& circle, const Run& run) {
    TRY(const auto outcomes, append_runs(circle, {run}));
    return outcomes.front();
}

Result<std::vector<Appended>> QuotaView::append_runs(const CircleId& circle, const std::vector<Run>& runs) {
    TRY(Room room, room_of(circle));
    std::vector<Appended> out(runs.size(), Appended::later);
    std::vector<std::size_t> places;
    std::vector<std::uint64_t> sizes;
    std::vector<Run> taken;
    std::map<LogId, Kept> logs;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        TRY(const std::uint64_t bytes, new_bytes(circle, runs[i]));
        const auto [log, is_new] = logs.try_emplace(runs[i].log);
        if (is_new) {
            TRY(log->second, kept_of(db_, circle, runs[i].log));
        }
        TRY(const bool good, fits(circle, runs[i], bytes + proof_bytes_max(log->second, runs[i]), room));
        if (!good) continue;
        places.push_back(i);
        sizes.push_back(bytes);
        taken.push_back(runs[i]);
        log->second.next_seq = std::max(log->second.next_seq, runs[i].first_seq + runs[i].events.size());
    }
    TRY(const auto outcomes, ForwardedLog::append_runs(circle, taken));
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        out[places[i]] = outcomes[i];
        if (outcomes[i] == Appended::stored) {
            TRY(count(circle, taken[i].log, sizes[i]));
        }
        if (outcomes[i] == Appended::forked) {
            TRY(const Kept now, kept_of(db_, circle, taken[i].log));
            const std::uint64_t before = std::exchange(logs[taken[i].log].proof_bytes, now.proof_bytes);
            TRY(count(circle, taken[i].log, less(now.proof_bytes, before)));
        }
    }
    return out;
}

Result<bool> QuotaView::append_fork_proof(const CircleId& circle, const ForkProof& proof) {
    TRY(const Room room, room_of(circle));
    const std::uint64_t bytes = codec::encode(proof).size() + event_overhead_bytes;
    if (bytes > room.place) {
        refuse(circle, FullReason::place);
        return false;
    }
    TRY(const bool is_new, ForwardedLog::append_fork_proof(circle, proof));
    if (is_new) {
        TRY(count(circle, log_of(circle, proof), bytes));
    }
    return is_new;
}

}  // namespace ladderline::store
