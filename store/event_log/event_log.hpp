#pragma once
// Every event of every circle of this member, and the only way to add one. Appending an event, moving its log's head
// and bringing the read models up to date is one transaction.
// Thread rule: as the Database.

#include <memory>
#include <optional>
#include <string>

#include "protocol/crypto/keys.hpp"
#include "protocol/sync/log_view.hpp"
#include "store/read_model/read_model.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::store {

// What this device signs with.
struct OwnDevice {
    protocol::DeviceId id;
    protocol::SignSecret signing;
};

struct NewEvent {
    protocol::CircleId circle;
    std::uint16_t kind = 0;
    Bytes payload;
    std::vector<protocol::EventId> supersedes = {};
};

class EventLog : public protocol::LogView {
public:
    // `models` in the order in which they are applied; they and `db` and `random` outlive the log.
    EventLog(sqlite::Database& db, Random& random, std::vector<ReadModel*> models);

    const std::vector<ReadModel*>& models() const { return models_; }
    // Makes missing tables, and rebuilds the models whose version changed. Once, before anything else.
    Result<void> prepare();
    void act_as(OwnDevice device) { device_.emplace(std::move(device)); }

    // Several own events as one step: all are stored, or none. `now` is what the clock says.
    Result<std::vector<protocol::EventId>> append(const std::vector<NewEvent>& events, WallTime now);
    Result<protocol::EventId> append(NewEvent event, WallTime now);
    // The same inside a transaction that the caller began; nothing is stored until the caller commits.
    Result<protocol::EventId> append_within(const NewEvent& event, WallTime now);

    // Starts a circle with its founding event and a fresh epoch key. Within the caller's transaction.
    Result<protocol::CircleId> found_within(const Bytes& found_body, WallTime now);
    // A key that came with a welcome; events that waited for it are taken in now. Its own transaction.
    Result<void> add_key(const protocol::CircleId& circle, const protocol::AeadKey& key);
    // The key that new events of the circle are sealed under. not_found without one.
    Result<protocol::AeadKey> current_key(const protocol::CircleId& circle);
    // All keys of the circle, oldest first; for a member who comes back. At most `count_max`, the newest of them.
    Result<std::vector<protocol::AeadKey>> all_keys(const protocol::CircleId& circle, std::size_t count_max);

    // Arrivals: every event stored here, own or not, gets the next number, and each log keeps that of its last event.
    // The numbers mean something only together with this store's instance id (upkeep/instance.hpp).
    Result<std::uint64_t> arrivals();
    // Logs of the circle that got an event after that arrival, in order of their last one.
    Result<std::vector<protocol::LogHead>> logs_changed_since(const protocol::CircleId& circle, std::uint64_t arrival);

    // LogView
    Result<std::vector<protocol::LogHead>> heads(const protocol::CircleId& circle) override;
    Result<protocol::Run> read_run(const protocol::CircleId& circle, const protocol::LogId& log,
                                   std::uint64_t first_seq) override;
    Result<protocol::Appended> append_run(const protocol::CircleId& circle, const protocol::Run& run) override;
    Result<std::uint64_t> next_seq(const protocol::CircleId& circle, const protocol::LogId& log) override;
    Result<std::optional<protocol::EventId>> event_id(const protocol::CircleId& circle, const protocol::LogId& log,
                                                      std::uint64_t seq) override;

private:
    struct Log {
        std::int64_t ref = 0;
        protocol::LogId id;
        protocol::LogOpening opening;
        std::uint64_t next_seq = 0;
        protocol::EventId head;
    };

    Result<std::optional<Log>> find_log(const protocol::CircleId& circle, const protocol::LogId& log);
    Result<Log> own_log(const protocol::CircleId& circle);
    Result<std::int64_t> insert_log(const protocol::CircleId& circle, const Log& log, bool mine);
    Result<protocol::ChainTip> tip_before(const Log& log, std::uint64_t seq);
    Result<void> store_event(const Log& log, const protocol::EventId& id, const protocol::Event& event);
    Result<void> take_in(const OpenedEvent& event);
    // Ends a step that stored events of the circle.
    Result<void> settle(const protocol::CircleId& circle, bool new_log);
    Result<std::optional<protocol::EventId>> stored_id(const Log& log, std::uint64_t seq);
    Result<std::optional<protocol::AeadKey>> find_key(const protocol::CircleId& circle, const protocol::KeyId& key);
    Result<void> put_key(const protocol::CircleId& circle, const protocol::AeadKey& key);
    Result<void> open_and_take_in(const Log& log, const protocol::CircleId& circle, const protocol::EventId& id,
                                  const protocol::Event& event);
    Result<void> rebuild(ReadModel& model);
    Result<protocol::Event> read_event(const Log& log, const protocol::CircleId& circle, std::uint64_t seq);
    Result<protocol::HybridTime> next_time(WallTime now);
    template <class Step>
    Result<void> in_transaction(Step step) {
        TRY(sqlite::Transaction tx, sqlite::Transaction::begin(db_));
        TRY(step());
        return tx.commit();
    }

    sqlite::Database& db_;
    Random& random_;
    std::vector<ReadModel*> models_;
    std::optional<OwnDevice> device_;
};

}  // namespace ladderline::store
