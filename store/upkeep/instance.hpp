#pragma once
// Whether a store is the one that wrote its high-water record last. If it cannot know, it goes on as another instance:
// nobody who kept something about the old one relies on it, and everything it says goes into new logs, so that no peer
// ever sees two events of one log with one number.

#include <functional>
#include <memory>
#include <string>

#include "protocol/base/random.hpp"
#include "store/sqlite/database.hpp"
#include "store/upkeep/water.hpp"

namespace ladderline::store {

// None before the first opening by a program that knows instances.
Result<std::optional<InstanceId>> instance_of(sqlite::Database& db);
// How far the database has come.
Result<HighWater> measure(sqlite::Database& db, const InstanceId& instance);
// Within the caller's transaction: the id is kept, own logs are retired, codes are void. Arrival numbers go on.
Result<void> begin_instance(sqlite::Database& db, const InstanceId& instance);

// Keeps the record of an open store: after each step without waiting for the disk, so that after a power cut it may
// lag; on the disk at opening, at closing, and at least every 128 steps.
class WaterKeeper {
public:
    // Compares database and record. An older or other database, or a lost record, begins a new instance and a sentence
    // about it; the store opens all the same. `disk` and `db` outlive the object; `db` must not move.
    static Result<std::unique_ptr<WaterKeeper>> open(Disk& disk, const std::filesystem::path& folder,
                                                     const protocol::AeadKey& data_key, sqlite::Database& db,
                                                     Random& random);
    WaterKeeper(const WaterKeeper&) = delete;
    WaterKeeper& operator=(const WaterKeeper&) = delete;
    ~WaterKeeper();

    const InstanceId& instance() const { return instance_; }
    // What opening found, for the person; empty if nothing.
    const std::string& notice() const { return notice_; }

private:
    WaterKeeper(Water water, sqlite::Database& db) : water_(std::move(water)), db_(db) {}
    Result<void> judge(Random& random);
    Result<std::string> doubt(const std::optional<InstanceId>& known, const std::optional<HighWater>& record);
    // Never fails; the record lags until the next time instead.
    void note(bool flush);
    void write_down(bool flush);

    Water water_;
    sqlite::Database& db_;
    InstanceId instance_;
    std::string notice_;
    std::uint64_t noted_arrivals_ = 0;
    int unflushed_ = 0;
};

}  // namespace ladderline::store
