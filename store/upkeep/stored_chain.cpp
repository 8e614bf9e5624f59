#include "store/upkeep/stored_chain.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

StoredLog log_of(const sqlite::Row& row) {
    return {row.integer(0),       row.fixed<CircleId>(1),
            row.fixed<LogId>(2),  {row.fixed<DeviceId>(3), row.fixed<LogSalt>(4), row.integer(5) != 0},
            row.integer(6) != 0,  static_cast<std::uint64_t>(row.integer(7)),
            row.fixed<EventId>(8)};
}

// seq, id, key_id, ctl, salt, signature, sealed. None if it is not what follows `place`.
std::optional<Event> event_of(const sqlite::Row& row, const StoredLog& log, const ChainPlace& place) {
    if (static_cast<std::uint64_t>(row.integer(0)) != place.seq) return std::nullopt;
    auto ctl = codec::decode<std::vector<EventId>>(row.blob(3));
    if (!ctl) return std::nullopt;
    Event event;
    event.header.circle = header_circle(log.circle, log.opening, place.seq);
    event.header.log = log.id;
    event.header.seq = place.seq;
    event.header.prev = place.prev;
    event.header.key = row.fixed<KeyId>(2);
    event.header.ctl = std::move(ctl).value();
    event.header.salt = row.fixed<EventSalt>(4);
    event.signature = row.fixed<Signature>(5);
    event.sealed = row.blob(6);
    event.header.body_bytes = static_cast<std::uint32_t>(event.sealed.size());
    event.header.body_hash = hash_of_body(event.sealed);
    if (event.header.ctl.size() > limits::control_heads_max) return std::nullopt;
    const EventId id = id_of(event.header);
    if (id != row.fixed<EventId>(1)) return std::nullopt;
    const bool founds = log.opening.founding && place.seq == 0;
    if (founds && CircleId{id.data} != log.circle) return std::nullopt;
    return event;
}

bool is_final(const Error& error) {
    return error.fault() == Fault::cancelled || error.fault() == Fault::busy;
}

}  // namespace

Result<std::optional<StoredLog>> next_stored_log(sqlite::Database& db, std::int64_t after) {
    std::optional<StoredLog> out;
    TRY(db.query(
        "SELECT log_ref, circle, log, device, salt, founding, mine, next_seq, head FROM log NOT INDEXED "
        "WHERE log_ref > ?1 ORDER BY log_ref LIMIT 1",
        [&](const sqlite::Row& row) { out = log_of(row); }, after));
    return out;
}

Result<std::optional<StoredLog>> stored_log(sqlite::Database& db, std::int64_t ref) {
    std::optional<StoredLog> out;
    TRY(db.query(
        "SELECT log_ref, circle, log, device, salt, founding, mine, next_seq, head FROM log NOT INDEXED "
        "WHERE log_ref = ?1",
        [&](const sqlite::Row& row) { out = log_of(row); }, ref));
    return out;
}

bool is_genuine(const StoredLog& log) {
    return log_id_of(log.opening.founding ? CircleId{} : log.circle, log.opening) == log.id;
}

Result<ChainPiece> read_chain(sqlite::Database& db, const StoredLog& log, ChainPlace& place, std::uint64_t count) {
    ChainPiece out;
    const std::uint64_t end = std::min(log.next_seq, place.seq + count);
    const std::uint64_t first = place.seq;
    const Result<void> outcome = db.query(
        "SELECT seq, id, key_id, ctl, salt, signature, sealed FROM event NOT INDEXED "
        "WHERE log_ref = ?1 AND seq >= ?2 AND seq < ?3 ORDER BY seq",
        [&](const sqlite::Row& row) {
            if (out.broken) return;
            std::optional<Event> event = event_of(row, log, place);
            if (!event) {
                out.broken = true;
                return;
            }
            place = {place.seq + 1, id_of(event->header)};
            out.events.push_back(std::move(*event));
        },
        log.ref, first, end);
    if (!outcome && is_final(outcome.error())) return outcome.error();
    if (place.seq < end) out.broken = true;
    return out;
}

}  // namespace ladderline::store
