#pragma once
// Proves every event that is stored: numbers without a gap, each hash the one of the header before, ids, the founding
// event's name, and a valid signature of the log's device on the last event of each log, which covers those before it.
// In slices, so that a node that serves pages and peers can do it meanwhile.

#include "store/upkeep/stored_chain.hpp"

namespace ladderline::store {

struct LogDamage {
    protocol::CircleId circle;
    protocol::LogId log;
    std::uint64_t events = 0;  // that the log should hold
    std::uint64_t good = 0;    // from its beginning
};

struct ChainReport {
    std::uint64_t logs = 0;    // looked at
    std::uint64_t events = 0;  // good
    std::vector<LogDamage> damage;
    // Rows of the table of logs could not be read, so that what they name was not looked at.
    bool logs_unreadable = false;

    bool is_sound() const { return damage.empty() && !logs_unreadable; }
};

// "3 logs, 120 events: all chains are whole." or what is damaged.
std::string to_sentence(const ChainReport& report);

class ChainCheck {
public:
    // `db` outlives the object. Events that are stored while the check is under way may be left out.
    explicit ChainCheck(sqlite::Database& db) : db_(db) {}

    // Looks at no more than that many events, and one log; true if there is more to do. Not inside a transaction that
    // changes events.
    Result<bool> step(std::uint64_t events_max);
    const ChainReport& report() const { return report_; }

private:
    Result<bool> next_log();
    void end_log(bool broken);

    sqlite::Database& db_;
    ChainReport report_;
    std::optional<StoredLog> log_;
    ChainPlace place_;
    // Of the last event read.
    bool last_is_signed_ = true;
    std::int64_t last_ref_ = 0;
};

}  // namespace ladderline::store
