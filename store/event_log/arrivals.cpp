// Which logs changed since when, in the order in which events came to this store.

#include "store/event_log/event_log.hpp"

namespace ladderline::store {

using namespace protocol;

Result<std::uint64_t> EventLog::arrivals() {
    std::uint64_t out = 0;
    TRY(db_.query("SELECT max(arrival) FROM log",
                  [&](const sqlite::Row& row) { out = static_cast<std::uint64_t>(row.integer(0)); }));
    return out;
}

Result<std::vector<LogHead>> EventLog::logs_changed_since(const CircleId& circle, std::uint64_t arrival) {
    std::vector<LogHead> out;
    TRY(db_.query(
        "SELECT log, next_seq, head FROM log INDEXED BY log_by_arrival WHERE arrival > ?2 AND circle = ?1 "
        "ORDER BY arrival",
        [&](const sqlite::Row& row) {
            out.push_back({row.fixed<LogId>(0), static_cast<std::uint64_t>(row.integer(1)), row.fixed<EventId>(2)});
        },
        circle, arrival));
    return out;
}

}  // namespace ladderline::store
