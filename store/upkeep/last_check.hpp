#pragma once
// What the last check of this store found, kept for whoever asks later.

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
Result<void> put_last_check(sqlite::Database& db, const CheckRecord& record);
// None before the first check.
Result<std::optional<CheckRecord>> last_check(sqlite::Database& db);

}  // namespace ladderline::store
