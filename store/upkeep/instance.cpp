#include "store/upkeep/instance.hpp"

#include <new>

#include "protocol/crypto/hash.hpp"
#include "protocol/sync/log_view.hpp"
#include "store/settings/settings.hpp"
#include "store/sqlite/transaction.hpp"
#include "store/upkeep/instance_notice.hpp"
#include "store/upkeep/void_codes.hpp"

namespace ladderline::store {
namespace {

constexpr std::string_view instance_setting = "instance";
// Between two writes of the record that wait for the disk; a log of the database is checkpointed about as often.
constexpr int unflushed_max = 128;

Result<std::uint64_t> number(sqlite::Database& db, std::string_view sql) {
    std::uint64_t out = 0;
    TRY(db.query(sql, [&](const sqlite::Row& row) { out = static_cast<std::uint64_t>(row.integer(0)); }));
    return out;
}

// Looks through the own logs alone, and only where they have grown since.
Result<bool> holds_own_event(sqlite::Database& db, const protocol::EventId& id) {
    bool found = false;
    TRY(db.query(
        "SELECT 1 FROM log INDEXED BY own_log JOIN event USING (log_ref) WHERE log.mine = 1 AND event.id = ?1",
        [&](const sqlite::Row&) { found = true; }, id));
    return found;
}

std::string other_instance(const std::string& what) {
    return what +
           "; nothing is lost, and it goes on in new logs, so that what peers hold and what you write now cannot "
           "contradict each other. " +
           std::string(older_store_words);
}

}  // namespace

Result<std::optional<InstanceId>> instance_of(sqlite::Database& db) {
    TRY(const auto stored, get_setting(db, instance_setting));
    if (!stored || stored->size() != InstanceId::size) return std::optional<InstanceId>();
    return std::optional<InstanceId>(InstanceId::from(*stored));
}

Result<HighWater> measure(sqlite::Database& db, const InstanceId& instance) {
    HighWater out;
    out.instance = instance;
    TRY(out.arrivals, number(db, "SELECT max(arrival) FROM log"));
    Bytes heads;
    TRY(db.query("SELECT log, next_seq, head FROM log INDEXED BY own_log WHERE mine = 1 ORDER BY arrival, log",
                 [&](const sqlite::Row& row) {
                     const auto next_seq = static_cast<std::uint64_t>(row.integer(1));
                     if (next_seq == 0) return;
                     out.own_events += next_seq;
                     out.last_own = row.fixed<protocol::EventId>(2);
                     const Bytes head = protocol::codec::encode(
                         protocol::LogHead{row.fixed<protocol::LogId>(0), next_seq, out.last_own});
                     heads.insert(heads.end(), head.begin(), head.end());
                 }));
    out.own_heads = protocol::hash_as<OwnHeads>("ladderline own heads", {heads});
    return out;
}

Result<void> begin_instance(sqlite::Database& db, const InstanceId& instance) {
    TRY(db.run("UPDATE log SET retired = 1 WHERE mine = 1"));
    TRY(void_codes(db));
    return put_setting(db, instance_setting, instance.view());
}

Result<std::unique_ptr<WaterKeeper>> WaterKeeper::open(Disk& disk, const std::filesystem::path& folder,
                                                       const protocol::AeadKey& data_key, sqlite::Database& db,
                                                       Random& random) {
    std::unique_ptr<WaterKeeper> keeper(new WaterKeeper(Water(disk, folder, data_key), db));
    TRY(keeper->judge(random));
    db.on_commit([raw = keeper.get()] { raw->note(false); });
    return keeper;
}

WaterKeeper::~WaterKeeper() {
    db_.on_commit({});
    note(true);
}

// Empty: database and record belong together.
Result<std::string> WaterKeeper::doubt(const std::optional<InstanceId>& known, const std::optional<HighWater>& record) {
    if (!known && !record) return std::string();
    if (!record)
        return other_instance("The record of how far this store had come is gone: it may be a copy or an old one");
    TRY(const HighWater now, measure(db_, record->instance));
    if (now.arrivals < record->arrivals || now.own_events < record->own_events) {
        return other_instance("This store went back in time: it holds " + std::to_string(now.arrivals) +
                              " events and had " + std::to_string(record->arrivals));
    }
    if (known && *known != record->instance) {
        return other_instance("This database is a copy, or was put back: it is not the one used here last");
    }
    const bool same = now.own_events == record->own_events && now.own_heads == record->own_heads;
    bool follows = same || record->last_own.is_zero();
    if (!follows && now.own_events > record->own_events) {
        TRY(follows, holds_own_event(db_, record->last_own));
    }
    if (!follows) return other_instance("This store does not hold what was written last here: it may be a copy");
    return std::string();
}

Result<void> WaterKeeper::judge(Random& random) {
    TRY(const auto known, instance_of(db_));
    Result<std::optional<HighWater>> loaded = water_.load();
    std::optional<HighWater> record;
    if (loaded) record = loaded.value();
    TRY(notice_, doubt(known, record));
    if (known && notice_.empty()) {
        instance_ = *known;
        note(true);
        return ok();
    }
    instance_ = random.draw<InstanceId>();
    TRY(const HighWater now, measure(db_, instance_));
    // First the record, then the database: cut off between the two, the next opening sees that they differ.
    // A record that cannot be written is gone at the next opening, which then begins another instance.
    static_cast<void>(water_.save(now, true).has_value());
    TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db_));
    if (notice_.empty()) {
        TRY(put_setting(db_, instance_setting, instance_.view()));
    } else {
        TRY(begin_instance(db_, instance_));
        TRY(keep_instance_notice(db_, notice_));
    }
    TRY(tx.commit());
    noted_arrivals_ = now.arrivals;
    return ok();
}

// The step is stored already: a record that cannot be written lags, and is written at the next step.
void WaterKeeper::note(bool flush) {
    try {
        write_down(flush);
    } catch (const std::bad_alloc&) {
        // As if the disk had not taken it.
    }
}

void WaterKeeper::write_down(bool flush) {
    const auto arrivals = number(db_, "SELECT max(arrival) FROM log");
    if (!arrivals || (arrivals.value() == noted_arrivals_ && !flush)) return;
    const auto now = measure(db_, instance_);
    if (!now) return;
    const bool wait = flush || unflushed_ + 1 >= unflushed_max;
    if (!water_.save(now.value(), wait)) return;
    noted_arrivals_ = now.value().arrivals;
    unflushed_ = wait ? 0 : unflushed_ + 1;
}

}  // namespace ladderline::store
