#pragma once
// By which clock time the newest events of logs were written, as their authors' machines said.

#include "store/event_log/event_log.hpp"

namespace ladderline::store {

struct LastWord {
    protocol::DeviceId device;
    std::uint64_t arrival = 0;  // its number here
    WallTime at;
};

// The last event of each log of somebody else's device in the circle that grew after that arrival: in order of arrival,
// of the latest `count_max` logs. Left out: what cannot be read here.
Result<std::vector<LastWord>> last_words(sqlite::Database& db, EventLog& log, const protocol::CircleId& circle,
                                         std::uint64_t after, std::size_t count_max);
// The latest of the last events of this device's own logs that it still writes in; none if it has written nothing.
Result<std::optional<WallTime>> own_last_word(sqlite::Database& db, EventLog& log);

}  // namespace ladderline::store
