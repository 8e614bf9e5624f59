#pragma once
// What the last check of this store found, kept for whoever asks later. A full check looks at every page, table, index
// and chain; a running node looks at the events' chains alone, each day. What the full one found damaged is not made
// good by the other.

#include "protocol/base/time.hpp"
#include "store/upkeep/chain_check.hpp"

namespace ladderline::store {

struct CheckRecord {
    WallTime when;
    std::uint64_t logs = 0;
    std::uint64_t events = 0;
    bool sound = true;
    std::string sentence;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(when, logs, events, sound, sentence);
    }
};

CheckRecord record_of(const ChainReport& report, WallTime when);
Result<void> put_events_check(sqlite::Database& db, const CheckRecord& record);
// Takes the place of both.
Result<void> put_full_check(sqlite::Database& db, const CheckRecord& record);
// For another database file.
Result<void> forget_checks(sqlite::Database& db);

struct LastCheck {
    CheckRecord record;
    bool is_full = false;  // else of the events alone
    std::optional<WallTime>
        full_check;  // when there was one; if the events alone were looked at since, it found all whole
};
// None before the first check.
Result<std::optional<LastCheck>> last_check(sqlite::Database& db);

}  // namespace ladderline::store
