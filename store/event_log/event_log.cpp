#include "store/event_log/event_log.hpp"

#include <array>
#include <limits>
#include <set>

#include "protocol/event/kinds.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::store {
namespace {

using namespace protocol;

// A clock that was seen to run further ahead than this is not followed.
constexpr std::int64_t follow_ms_max = 5 * 60 * 1000;

// A rotation that is sealed under another key than the one it brings makes no sense.
bool is_misplaced(const EventHeader& header, const Body& body) {
    if (body.kind != kind::rotate_key) return false;
    const auto rotation = codec::decode<RotateBody>(body.payload);
    return !rotation || rotation.value().key != header.key;
}

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
        std::vector<CircleId> unsettled;
        TRY(db_.query("SELECT circle FROM unsettled",
                      [&](const sqlite::Row& row) { unsettled.push_back(row.fixed<CircleId>(0)); }));
        for (const CircleId& circle : unsettled) {
            TRY(settle(circle, true));
        }
        return ok();
    });
}

Result<std::size_t> EventLog::visit_readable(const EventVisitor& visit) {
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
    std::size_t unreadable = 0;
    Step step;
    for (const auto& [log, circle] : logs) {
        for (ChainTip at; at.next_seq < log.next_seq;) {
            TRY(const auto events, read_events(log, circle, at, log.next_seq - at.next_seq));
            for (const CheckedEvent& e : events) {
                TRY(const AeadKey* key, key_in_step(step, circle, e.event.header.key));
                TRY(const bool readable, visit_one(log, circle, e, key, visit));
                if (!readable) ++unreadable;
            }
            at.next_seq += events.size();
            at.head = events.back().id;
        }
    }
    return unreadable;
}

Result<bool> EventLog::visit_one(const Log& log, const CircleId& circle, const CheckedEvent& e, const AeadKey* key,
                                 const EventVisitor& visit) {
    if (key == nullptr) return false;
    const EventHeader& header = e.event.header;
    auto body = open_body(header, e.event.sealed, *key);
    if (!body || is_misplaced(header, body.value())) return false;
    TRY(visit({log.ref, circle, log.id, log.opening.device, header.seq, e.id, header.ctl, std::move(body).value()}));
    return true;
}

Result<void> EventLog::rebuild(ReadModel& model) {
    TRY(model.reset(db_));
    std::set<CircleId> circles;
    TRY(db_.query("SELECT DISTINCT circle FROM log",
                  [&](const sqlite::Row& row) { circles.insert(row.fixed<CircleId>(0)); }));
    TRY(visit_readable([&](const OpenedEvent& event) { return model.apply(db_, event); }));
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
    TRY(const AeadKey key, current_key(event.circle));
    return append_under(key, event, now);
}

Result<EventId> EventLog::append_under(const AeadKey& key, const NewEvent& event, WallTime now) {
    ENSURE(device_.has_value());
    // What is said now knows of everything that is here.
    TRY(const bool waits, is_unsettled(event.circle));
    if (waits) {
        TRY(settle(event.circle, true));
    }
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
    TRY(store_events(log, std::array{CheckedEvent{id, made}}));
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
    TRY(store_events(log, std::array{CheckedEvent{id, made}}));
    TRY(open_and_take_in(log, circle, id, made));
    TRY(settle(circle, true));
    return circle;
}

Result<EventLog::Log> EventLog::own_log(const CircleId& circle) {
    std::optional<Log> found;
    TRY(db_.query(
        "SELECT log_ref, log, salt, founding, next_seq, head FROM log WHERE circle = ?1 AND device = ?2 AND mine = 1 "
        "AND retired = 0 AND closed = 0 AND NOT EXISTS (SELECT 1 FROM fork_proof AS f WHERE f.circle = log.circle "
        "AND f.log = log.log) ORDER BY log_ref DESC LIMIT 1",
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
    Step alone;
    TRY(const AeadKey* key, key_in_step(step_ != nullptr ? *step_ : alone, circle, event.header.key));
    if (key == nullptr) {
        return put_unread(log, circle, event.header);
    }
    auto body = open_body(event.header, event.sealed, *key);
    // A body that does not open under the key it names was made badly by its author: kept, no effect, for everybody.
    if (!body || is_misplaced(event.header, body.value())) return ok();
    if (step_ != nullptr && kind::is_control(body.value().kind)) step_->weight += 1;
    if (body.value().kind == kind::rotate_key) {
        TRY(follow_links(circle, *key, body.value().payload));
    }
    return take_in(
        {log.ref, circle, log.id, log.opening.device, event.header.seq, id, event.header.ctl, std::move(body).value()});
}

Result<void> EventLog::take_in(const OpenedEvent& event) {
    for (const EventId& old : event.body.supersedes) {
        TRY(db_.run("INSERT OR IGNORE INTO superseded (id, log_ref, seq) VALUES (?1, ?2, ?3)", old, event.log_ref,
                    event.seq));
    }
    TRY(note_time(event.body.time));
    for (ReadModel* model : models_) {
        TRY(model->apply(db_, event));
    }
    return ok();
}

// Kept however far ahead it is: next_time(), which knows the clock, decides whether to follow.
Result<void> EventLog::note_time(const HybridTime& time) {
    if (step_ != nullptr && step_->latest) {
        if (time > *step_->latest) {
            step_->latest = time;
            step_->latest_moved = true;
        }
        return ok();
    }
    TRY(const auto seen, get_setting(db_, "hybrid_time"));
    HybridTime latest;
    if (seen) {
        TRY(latest, codec::decode<HybridTime>(*seen));
    }
    if (step_ != nullptr) {
        step_->latest = std::max(latest, time);
        step_->latest_moved = time > latest;
    } else if (time > latest) {
        const Bytes encoded = codec::encode(time);
        TRY(put_setting(db_, "hybrid_time", encoded));
    }
    return ok();
}

Result<void> EventLog::settle(const CircleId& circle, bool new_log) {
    TRY(db_.run("DELETE FROM unsettled WHERE circle = ?1", circle));
    const bool waited = db_.changes() > 0;
    for (ReadModel* model : models_) {
        TRY(model->settle(db_, circle, new_log || waited));
    }
    return ok();
}

Result<bool> EventLog::is_unsettled(const CircleId& circle) {
    bool out = false;
    TRY(db_.query(
        "SELECT 1 FROM unsettled WHERE circle = ?1", [&](const sqlite::Row&) { out = true; }, circle));
    return out;
}

}  // namespace ladderline::store
