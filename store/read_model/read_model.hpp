#pragma once
// A read model: tables that follow from the events alone. It is brought up to date inside the transaction that stores
// an event, so what a page shows is never ahead of or behind the log. It must not depend on the order in which events
// of different logs arrive.

#include "protocol/event/event.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// An event that was opened with its epoch key.
struct OpenedEvent {
    std::int64_t log_ref = 0;  // row of table `log`
    protocol::CircleId circle;
    protocol::LogId log;
    protocol::DeviceId device;
    std::uint64_t seq = 0;
    protocol::EventId id;
    std::vector<protocol::EventId> ctl;
    protocol::Body body;
};

class ReadModel {
public:
    virtual ~ReadModel() = default;
    virtual std::string name() const = 0;
    // Raise it when the tables or their meaning change: they are then dropped and rebuilt from the log.
    virtual std::int64_t version() const = 0;
    // Drops the model's tables if they exist and makes them empty.
    virtual Result<void> reset(sqlite::Database& db) = 0;
    // Malformed payloads and unknown kinds have no effect and are no error.
    virtual Result<void> apply(sqlite::Database& db, const OpenedEvent& event) = 0;
    // The model's tables. A table of what members say often is keyed by log and number, as events come in; a key or an
    // index by event id scatters them, and every event then writes a page of its own. Each has a column `circle` or
    // `log_ref` (or both), and every other column follows from the events alone: rows go into the state digest
    // (store/digest) with the log's id in the place of `log_ref`.
    virtual std::vector<std::string> tables() const = 0;
    // Once after the last apply() of a step, in the same transaction, for what is dear to work out for each event.
    // `new_log`: a log of the circle was begun or its first events became readable.
    virtual Result<void> settle(sqlite::Database&, const protocol::CircleId&, bool /*new_log*/) { return ok(); }
};

}  // namespace ladderline::store
