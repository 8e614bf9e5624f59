#include "store/event_log/event_log.hpp"

#include <limits>
#include <set>

#include "protocol/event/kinds.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

// A clock that was seen to run further ahead than this is not followed.
constexpr std::int64_t follow_ms_max = 5 * 60 * 1000;

HybridTime just_after(const HybridTime& time) {
    if (time.count < std::numeric_limits<std::uint32_t>::max()) return {time.wall, time.count + 1};
    return {{time.wall.ms + 1}, 0};
}

}  // namespace

EventLog::EventLog(sqlite::Database& db, Random& random, std::vector<ReadModel*> models)
    : db_(db), random_(random), models_(std::move(models)) {}

Result<void> EventLog::prepare() {
    return in_transaction([&]() -> Result<void> {
        for (ReadModel* model : models_) {
            std::int64_t version = -1;
            TRY(db_.query(
                "SELECT version FROM read_model WHERE name = ?1",
                [&](const sqlite::Row& row) { version = row.integer(0); }, model->name()));
            if (version != model->version()) {
                TRY(rebuild(*model));
            }
        }
        return ok();
    });
}

Result<void> EventLog::rebuild(ReadModel& model) {
    TRY(model.reset(db_));
    std::vector<std::pair<Log, CircleId>> logs;
    TRY(db_.query("SELECT log_ref, log, device, salt, founding, next_seq, head, circle FROM log ORDER BY log_ref",
                  [&](const sqlite::Row& row) {
                      Log log{row.integer(0),
                              row.fixed<LogId>(1),
                              {row.fixed<DeviceId>(2), row.fixed<LogSalt>(3), row.integer(4) != 0},
                              static_cast<std::uint64_t>(row.integer(5)),
                              row.fixed<EventId>(6)};
                      logs.emplace_back(std::move(log), row.fixed<CircleId>(7));
                  }));
    for (const auto& [log, circle] : logs) {
        for (std::uint64_t seq = 0; seq < log.next_seq; ++seq) {
            TRY(const Event event, read_event(log, circle, seq));
            TRY(const auto key, find_key(circle, event.header.key));
            if (!key) continue;
            auto body = open_body(event.header, event.sealed, *key);
            if (!body) continue;
            TRY(model.apply(db_, {log.ref, circle, log.id, log.opening.device, seq, id_of(event.header),
                                  event.header.ctl, std::move(body).value()}));
        }
    }
    std::set<CircleId> circles;
    for (const auto& [log, circle] : logs) circles.insert(circle);
    for (const CircleId& circle : circles) {
        TRY(model.settle(db_, circle, true));
    }
    return db_.run(
        "INSERT INTO read_model (name, version) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET version = ?2",
        model.name(), model.version());
}

Result<HybridTime> EventLog::next_time(WallTime now) {
    HybridTime time{now, 0};
    TRY(const auto seen, get_setting(db_, "hybrid_time"));
    if (seen) {
        TRY(const HybridTime last, codec::decode<HybridTime>(*seen));
        if (last.wall >= time.wall && last.wall.ms <= now.ms + follow_ms_max) time = just_after(last);
    }
    const Bytes encoded = codec::encode(time);
    TRY(put_setting(db_, "hybrid_time", encoded));
    return time;
}

Result<std::vector<EventId>> EventLog::append(const std::vector<NewEvent>& events, WallTime now) {
    std::vector<EventId> ids;
    TRY(in_transaction([&]() -> Result<void> {
        for (const NewEvent& event : events) {
            TRY(const EventId id, append_within(event, now));
            ids.push_back(id);
        }
        return ok();
    }));
    return ids;
}

Result<EventId> EventLog::append(NewEvent event, WallTime now) {
    TRY(const auto ids, append(std::vector<NewEvent>{std::move(event)}, now));
    return ids.front();
}

Result<EventId> EventLog::append_within(const NewEvent& event, WallTime now) {
    ENSURE(device_.has_value());
    TRY(const AeadKey key, current_key(event.circle));
    TRY(Log log, own_log(event.circle));
    EventPlace place{event.circle, log.id, log.next_seq, log.head, {}};
    place.circle = header_circle(event.circle, log.opening, log.next_seq);
    TRY(db_.query(
        "SELECT ctl_heads FROM circle WHERE circle = ?1",
        [&](const sqlite::Row& row) -> Result<void> {
            TRY(place.ctl, codec::decode<std::vector<EventId>>(row.blob(0)));
            return ok();
        },
        event.circle));
    TRY(const HybridTime time, next_time(now));
    const Event made =
        make_event(place, Body{time, event.kind, event.supersedes, event.payload}, key, device_->signing, random_);
    const EventId id = id_of(made.header);
    TRY(store_event(log, id, made));
    TRY(open_and_take_in(log, event.circle, id, made));
    TRY(settle(event.circle, log.next_seq == 0));
    return id;
}

Result<CircleId> EventLog::found_within(const Bytes& found_body, WallTime now) {
    ENSURE(device_.has_value());
    const AeadKey key = AeadKey::random(random_);
    const LogOpening opening{device_->id, random_.draw<LogSalt>(), true};
    const EventPlace place{{}, log_id_of({}, opening), 0, {}, {}};
    TRY(const HybridTime time, next_time(now));
    const Event made = make_event(place, Body{time, kind::found, {}, found_body}, key, device_->signing, random_);
    const EventId id = id_of(made.header);
    const CircleId circle{id.data};
    TRY(put_key(circle, key));
    Log log{0, place.log, opening, 0, {}};
    TRY(log.ref, insert_log(circle, log, true));
    TRY(store_event(log, id, made));
    TRY(open_and_take_in(log, circle, id, made));
    TRY(settle(circle, true));
    return circle;
}

Result<EventLog::Log> EventLog::own_log(const CircleId& circle) {
    std::optional<Log> found;
    TRY(db_.query(
        "SELECT log_ref, log, salt, founding, next_seq, head FROM log WHERE circle = ?1 AND device = ?2 AND mine = 1 "
        "AND retired = 0 ORDER BY log_ref DESC LIMIT 1",
        [&](const sqlite::Row& row) {
            found = Log{row.integer(0),
                        row.fixed<LogId>(1),
                        {device_->id, row.fixed<LogSalt>(2), row.integer(3) != 0},
                        static_cast<std::uint64_t>(row.integer(4)),
                        row.fixed<EventId>(5)};
        },
        circle, device_->id));
    if (found) return *found;
    Log log;
    log.opening = {device_->id, random_.draw<LogSalt>(), false};
    log.id = log_id_of(circle, log.opening);
    TRY(log.ref, insert_log(circle, log, true));
    return log;
}

Result<void> EventLog::open_and_take_in(const Log& log, const CircleId& circle, const EventId& id, const Event& event) {
    TRY(const auto key, find_key(circle, event.header.key));
    if (!key) {
        return db_.run("INSERT INTO unread (log_ref, seq, key_id) VALUES (?1,?2,?3)", log.ref, event.header.seq,
                       event.header.key);
    }
    auto body = open_body(event.header, event.sealed, *key);
    // A body that does not open under the key it names was made badly by its author: kept, no effect, for everybody.
    if (!body) return ok();
    return take_in(
        {log.ref, circle, log.id, log.opening.device, event.header.seq, id, event.header.ctl, std::move(body).value()});
}

Result<void> EventLog::take_in(const OpenedEvent& event) {
    for (const EventId& old : event.body.supersedes) {
        TRY(db_.run("INSERT OR IGNORE INTO superseded (id, log_ref, seq) VALUES (?1, ?2, ?3)", old, event.log_ref,
                    event.seq));
    }
    TRY(const auto seen, get_setting(db_, "hybrid_time"));
    HybridTime latest;
    if (seen) {
        TRY(latest, codec::decode<HybridTime>(*seen));
    }
    // Kept however far ahead it is: next_time(), which knows the clock, decides whether to follow.
    if (event.body.time > latest) {
        const Bytes encoded = codec::encode(event.body.time);
        TRY(put_setting(db_, "hybrid_time", encoded));
    }
    for (ReadModel* model : models_) {
        TRY(model->apply(db_, event));
    }
    return ok();
}

Result<void> EventLog::settle(const CircleId& circle, bool new_log) {
    for (ReadModel* model : models_) {
        TRY(model->settle(db_, circle, new_log));
    }
    return ok();
}

Result<void> EventLog::add_key(const CircleId& circle, const AeadKey& key) {
    return in_transaction([&]() -> Result<void> {
        TRY(put_key(circle, key));
        struct Waiting {
            Log log;
            std::uint64_t seq;
        };
        std::vector<Waiting> waiting;
        TRY(db_.query(
            "SELECT log.log_ref, log.log, log.device, log.salt, log.founding, unread.seq FROM unread "
            "JOIN log USING (log_ref) WHERE log.circle = ?1 AND unread.key_id = ?2 ORDER BY log.log_ref, unread.seq",
            [&](const sqlite::Row& row) {
                Log log{row.integer(0),
                        row.fixed<LogId>(1),
                        {row.fixed<DeviceId>(2), row.fixed<LogSalt>(3), row.integer(4) != 0},
                        0,
                        {}};
                waiting.push_back({std::move(log), static_cast<std::uint64_t>(row.integer(5))});
            },
            circle, id_of_key(key)));
        for (const Waiting& w : waiting) {
            TRY(const Event event, read_event(w.log, circle, w.seq));
            TRY(open_and_take_in(w.log, circle, id_of(event.header), event));
            TRY(db_.run("DELETE FROM unread WHERE log_ref = ?1 AND seq = ?2", w.log.ref, w.seq));
        }
        return settle(circle, !waiting.empty());
    });
}

Result<AeadKey> EventLog::current_key(const CircleId& circle) {
    std::optional<AeadKey> key;
    TRY(db_.query(
        "SELECT secret FROM epoch_key WHERE circle = ?1 ORDER BY added DESC LIMIT 1",
        [&](const sqlite::Row& row) {
            Bytes secret = row.blob(0);
            key = AeadKey::copy_of(secret);
            wipe(secret);
        },
        circle));
    if (!key) return Error{Fault::not_found, "This node holds no key to that circle."};
    return std::move(*key);
}

Result<std::vector<AeadKey>> EventLog::all_keys(const CircleId& circle, std::size_t count_max) {
    std::vector<AeadKey> keys;
    TRY(db_.query(
        "SELECT secret FROM (SELECT secret, added FROM epoch_key WHERE circle = ?1 ORDER BY added DESC LIMIT ?2) "
        "ORDER BY added",
        [&](const sqlite::Row& row) {
            Bytes secret = row.blob(0);
            keys.push_back(AeadKey::copy_of(secret));
            wipe(secret);
        },
        circle, count_max));
    return keys;
}

Result<std::optional<AeadKey>> EventLog::find_key(const CircleId& circle, const KeyId& id) {
    std::optional<AeadKey> key;
    TRY(db_.query(
        "SELECT secret FROM epoch_key WHERE circle = ?1 AND key_id = ?2",
        [&](const sqlite::Row& row) {
            Bytes secret = row.blob(0);
            key = AeadKey::copy_of(secret);
            wipe(secret);
        },
        circle, id));
    return key;
}

Result<void> EventLog::put_key(const CircleId& circle, const AeadKey& key) {
    return db_.run(
        "INSERT OR IGNORE INTO epoch_key (circle, key_id, secret, added) VALUES (?1, ?2, ?3, "
        "(SELECT coalesce(max(added), 0) + 1 FROM epoch_key WHERE circle = ?1))",
        circle, id_of_key(key), key.view());
}

}  // namespace ladderline::store
