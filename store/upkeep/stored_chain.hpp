#pragma once
// Events as they lie in the database, each proven to follow the one before. Trusts nothing that was read: a page that
// opens may still be an old one.

#include <optional>

#include "protocol/event/chain.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

struct StoredLog {
    std::int64_t ref = 0;
    protocol::CircleId circle;
    protocol::LogId id;
    protocol::LogOpening opening;
    bool mine = false;
    std::uint64_t next_seq = 0;
    protocol::EventId head;
};

// The log with the lowest row number above `after`; none at the end. damaged: its page does not open.
Result<std::optional<StoredLog>> next_stored_log(sqlite::Database& db, std::int64_t after);
// Its row alone; none if there is no such row.
Result<std::optional<StoredLog>> stored_log(sqlite::Database& db, std::int64_t ref);
// The id is the one that the opening commits to.
bool is_genuine(const StoredLog& log);

// How far a log has been read, and what the next event must follow.
struct ChainPlace {
    std::uint64_t seq = 0;
    protocol::EventId prev;
};

struct ChainPiece {
    std::vector<protocol::Event> events;
    bool broken = false;  // the event behind these is missing, unreadable, or not the one that was stored
};
// At most `count` events from `place` on, which is moved behind them; broken only before the log's own next_seq.
// cancelled, busy: as SQLite says; every other failure to read is a break.
Result<ChainPiece> read_chain(sqlite::Database& db, const StoredLog& log, ChainPlace& place, std::uint64_t count);

}  // namespace ladderline::store
