// The side of the event log that holds epoch keys: which one is written under, new ones, late ones.

#include "protocol/circle/epochs.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/sync/wraps.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

using namespace protocol;

Result<void> EventLog::add_key(const CircleId& circle, const AeadKey& key) {
    return in_transaction([&]() -> Result<void> {
        bool new_log = false;
        TRY(add_key_within(circle, key, new_log));
        TRY(take_in_linked(new_log));
        return settle(circle, new_log);
    });
}

Result<void> EventLog::add_key_within(const CircleId& circle, const AeadKey& key, bool& new_log) {
    TRY(put_key(circle, key));
    struct Waiting {
        Log log;
        std::uint64_t seq;
    };
    std::vector<Waiting> waiting;
    TRY(db_.query(
        "SELECT log.log_ref, log.log, log.device, log.salt, log.founding, unread.seq FROM missing_key AS missing "
        "CROSS JOIN log USING (log_ref) CROSS JOIN unread USING (log_ref) "
        "WHERE missing.circle = ?1 AND missing.key_id = ?2 AND unread.key_id = ?2 "
        "AND unread.seq BETWEEN missing.first_seq AND missing.last_seq ORDER BY log.log_ref, unread.seq",
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
    TRY(db_.run("DELETE FROM missing_key WHERE circle = ?1 AND key_id = ?2", circle, id_of_key(key)));
    new_log = new_log || !waiting.empty();
    return ok();
}

Result<void> EventLog::put_unread(const Log& log, const CircleId& circle, const EventHeader& header) {
    TRY(db_.run("INSERT INTO unread (log_ref, seq, key_id) VALUES (?1,?2,?3)", log.ref, header.seq, header.key));
    return db_.run(
        "INSERT INTO missing_key (circle, key_id, log_ref, first_seq, last_seq) VALUES (?1,?2,?3,?4,?4) "
        "ON CONFLICT (circle, key_id, log_ref) DO UPDATE SET last_seq = excluded.last_seq",
        circle, header.key, log.ref, header.seq);
}

// Walks back along the links for as long as they open something. A link whose key is not what it says is left alone.
Result<void> EventLog::follow_links(const CircleId& circle, const AeadKey& key, const Bytes& payload) {
    TRY(const RotateBody rotation, codec::decode<RotateBody>(payload));
    for (const KeyLink& link : rotation.links) {
        TRY(const auto held, find_key(circle, link.key));
        if (held) continue;
        auto older = open_link(circle, key, link);
        if (older) linked_.emplace_back(circle, std::move(older).value());
    }
    return ok();
}

Result<void> EventLog::take_in_linked(bool& new_log) {
    while (!linked_.empty()) {
        const auto [circle, key] = std::move(linked_.back());
        linked_.pop_back();
        TRY(add_key_within(circle, key, new_log));
    }
    return ok();
}

Result<EventId> EventLog::rotate_within(const CircleId& circle, const Rotation& rotation, WallTime now) {
    const AeadKey key = AeadKey::random(random_);
    TRY(const WrappedKey wrapped, wrap_key(key, rotation.boxes, random_));
    RotateBody body{id_of_key(key), rotation.parents, rotation.readers, rotation.members, wrapped.root, {}};
    for (const KeyId& parent : rotation.parents) {
        TRY(const auto older, find_key(circle, parent));
        if (older) body.links.push_back(seal_link(circle, key, *older));
    }
    TRY(put_key(circle, key));
    for (const Wrap& copy : wrapped.copies) {
        const Bytes encoded = codec::encode(copy);
        TRY(db_.run("INSERT OR IGNORE INTO wrap (circle, key_id, tag, copy) VALUES (?1, ?2, ?3, ?4)", circle, body.key,
                    copy.tag, encoded));
    }
    return append_under(key, {circle, kind::rotate_key, codec::encode(body), {}}, now);
}

Result<std::vector<KeyId>> EventLog::missing_keys(const CircleId& circle) {
    std::vector<KeyId> out;
    TRY(db_.query(
        "SELECT DISTINCT missing.key_id FROM missing_key AS missing JOIN log USING (log_ref) "
        "WHERE missing.circle = ?1 AND NOT EXISTS (SELECT 1 FROM fork_proof AS f WHERE f.circle = missing.circle "
        "AND f.log = log.log AND f.seq <= missing.first_seq) ORDER BY 1",
        [&](const sqlite::Row& row) { out.push_back(row.fixed<KeyId>(0)); }, circle));
    return out;
}

// Named keys are looked up, and of the others the index tells the first: there may be thousands.
Result<AeadKey> EventLog::current_key(const CircleId& circle) {
    std::optional<AeadKey> key;
    const auto take = [&](const sqlite::Row& row) {
        Bytes secret = row.blob(0);
        key = AeadKey::copy_of(secret);
        wipe(secret);
    };
    TRY(
        db_.query("SELECT held.secret FROM (SELECT epoch AS key_id, 0 AS place FROM circle WHERE circle = ?1 UNION ALL "
                  "SELECT event.key_id, 1 FROM log JOIN event USING (log_ref) WHERE log.circle = ?1 "
                  "AND log.founding = 1 AND event.seq = 0) AS named CROSS JOIN epoch_key AS held "
                  "ON held.circle = ?1 AND held.key_id = named.key_id ORDER BY named.place LIMIT 1",
                  take, circle));
    if (!key) {
        TRY(db_.query("SELECT secret FROM epoch_key WHERE circle = ?1 ORDER BY added LIMIT 1", take, circle));
    }
    if (!key) return Error{Fault::not_found, "This node holds no key to that circle."};
    return std::move(*key);
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

Result<const AeadKey*> EventLog::key_in_step(Step& step, const CircleId& circle, const KeyId& id) {
    const std::pair name(circle, id);
    if (step.key_name != name || !step.key) {
        step.key_name = name;
        TRY(step.key, find_key(circle, id));
    }
    return step.key ? &*step.key : nullptr;
}

Result<void> EventLog::put_key(const CircleId& circle, const AeadKey& key) {
    return db_.run(
        "INSERT OR IGNORE INTO epoch_key (circle, key_id, secret, added) VALUES (?1, ?2, ?3, "
        "(SELECT coalesce(max(added), 0) + 1 FROM epoch_key WHERE circle = ?1))",
        circle, id_of_key(key), key.view());
}

}  // namespace ladderline::store
