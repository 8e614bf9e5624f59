#include "store/event_log/last_words.hpp"

#include "store/upkeep/stored_chain.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

struct GrownLog {
    std::int64_t ref = 0;
    std::uint64_t arrival = 0;
};

Result<std::optional<WallTime>> time_of_last(sqlite::Database& db, EventLog& events, const StoredLog& log) {
    const std::optional<WallTime> none;
    if (log.next_seq == 0) return none;
    ChainPlace place{log.next_seq - 1, {}};
    if (place.seq > 0) {
        TRY(db.query(
            "SELECT id FROM event WHERE log_ref = ?1 AND seq = ?2",
            [&](const sqlite::Row& row) { place.prev = row.fixed<EventId>(0); }, log.ref, place.seq - 1));
    }
    TRY(const ChainPiece piece, read_chain(db, log, place, 1));
    if (piece.events.empty()) return none;
    const Event& event = piece.events.front();
    TRY(const auto key, events.find_key(log.circle, event.header.key));
    if (!key) return none;
    const auto body = open_body(event.header, event.sealed, *key);
    if (!body) return none;
    return std::optional(body.value().time.wall);
}

Result<std::optional<WallTime>> time_of_last(sqlite::Database& db, EventLog& events, std::int64_t ref,
                                             std::optional<DeviceId>& device) {
    TRY(const auto log, stored_log(db, ref));
    if (!log) return std::optional<WallTime>();
    device = log->opening.device;
    return time_of_last(db, events, *log);
}

}  // namespace

Result<std::vector<LastWord>> last_words(sqlite::Database& db, EventLog& log, const CircleId& circle,
                                         std::uint64_t after, std::size_t count_max) {
    std::vector<GrownLog> grown;
    TRY(db.query(
        "SELECT log_ref, arrival FROM (SELECT log_ref, arrival FROM log WHERE arrival > ?1 AND circle = ?2 AND mine = "
        "0 ORDER BY arrival DESC LIMIT ?3) ORDER BY arrival",
        [&](const sqlite::Row& row) {
            grown.push_back({row.integer(0), static_cast<std::uint64_t>(row.integer(1))});
        },
        after, circle, count_max));
    std::vector<LastWord> out;
    for (const GrownLog& one : grown) {
        std::optional<DeviceId> device;
        TRY(const auto at, time_of_last(db, log, one.ref, device));
        if (at) out.push_back({*device, one.arrival, *at});
    }
    return out;
}

Result<std::optional<WallTime>> own_last_word(sqlite::Database& db, EventLog& log) {
    std::vector<std::int64_t> own;
    TRY(db.query("SELECT log_ref FROM log WHERE mine = 1 AND retired = 0",
                 [&](const sqlite::Row& row) { own.push_back(row.integer(0)); }));
    std::optional<WallTime> out;
    for (const std::int64_t ref : own) {
        std::optional<DeviceId> device;
        TRY(const auto at, time_of_last(db, log, ref, device));
        if (at && (!out || *at > *out)) out = at;
    }
    return out;
}

}  // namespace ladderline::store
