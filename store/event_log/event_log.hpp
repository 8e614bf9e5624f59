#pragma once
// Every event of every circle of this member, and the only way to add one. Appending an event, moving its log's head
// and bringing the read models up to date is one transaction.
// Thread rule: as the Database.

#include <algorithm>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "protocol/circle/bodies.hpp"
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

// A log whose device is proven to have written two events with one number.
struct ForkedLog {
    protocol::DeviceId device;
    protocol::LogId log;
    std::uint64_t seq = 0;        // from here on nothing counts
    std::uint64_t withdrawn = 0;  // events that are kept here and do not count
};
Result<std::vector<ForkedLog>> forked_logs(sqlite::Database& db, const protocol::CircleId& circle);

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
    // The key that new events of the circle are sealed under: of the epoch that the circle's members agree on, else the
    // founding key, else (nothing has been synced yet) the key that came with the welcome. not_found without one.
    Result<protocol::AeadKey> current_key(const protocol::CircleId& circle);
    Result<std::optional<protocol::AeadKey>> find_key(const protocol::CircleId& circle, const protocol::KeyId& key);
    // Keys that stored events name and that are not here.
    Result<std::vector<protocol::KeyId>> missing_keys(const protocol::CircleId& circle);

    // Whom a new epoch key is for.
    struct Rotation {
        protocol::Readers readers = protocol::Readers::everyone;
        protocol::MembersDigest members;
        std::vector<protocol::KeyId> parents;   // those held are linked to
        std::vector<protocol::DhPublic> boxes;  // of their devices, and their paper boxes
    };
    // Makes a fresh key, keeps the copies of it that others will ask for, and says so in the first event under it.
    // Within the caller's transaction.
    Result<protocol::EventId> rotate_within(const protocol::CircleId& circle, const Rotation& rotation, WallTime now);

    // Arrivals: every event stored here, own or not, gets the next number, and each log keeps that of its last event.
    // The numbers mean something only together with this store's instance id (upkeep/instance.hpp).
    Result<std::uint64_t> arrivals();
    // Logs of the circle that got an event after that arrival, in order of their last one.
    Result<std::vector<protocol::LogHead>> logs_changed_since(const protocol::CircleId& circle, std::uint64_t arrival);
    // Every event whose body this node can read: log after log, in order of number. What `visit` returns as an error
    // ends it. Gives the count of those that cannot be read.
    using EventVisitor = std::function<Result<void>(const OpenedEvent&)>;
    Result<std::size_t> visit_readable(const EventVisitor& visit);

    // LogView
    Result<std::vector<protocol::LogHead>> heads(const protocol::CircleId& circle) override;
    Result<protocol::Run> read_run(const protocol::CircleId& circle, const protocol::LogId& log,
                                   std::uint64_t first_seq) override;
    Result<protocol::Appended> append_run(const protocol::CircleId& circle, const protocol::Run& run) override;
    Result<std::uint64_t> next_seq(const protocol::CircleId& circle, const protocol::LogId& log) override;
    Result<std::optional<protocol::EventId>> event_id(const protocol::CircleId& circle, const protocol::LogId& log,
                                                      std::uint64_t seq) override;
    Result<std::vector<protocol::Appended>> append_runs(const protocol::CircleId& circle,
                                                        const std::vector<protocol::Run>& runs) override;
    // Members and what of each log counts are then worked out only now and then: the more there is, the rarer. Until
    // end_burst(), the next own event or the next opening a screen may lack the last quarter of them.
    Result<std::vector<protocol::Appended>> append_burst(const protocol::CircleId& circle,
                                                         const std::vector<protocol::Run>& runs) override;
    Result<void> end_burst(const protocol::CircleId& circle) override;
    Result<std::vector<protocol::LogId>> oldest_first(const protocol::CircleId& circle) override;
    Result<std::optional<protocol::ForkProof>> fork_proof(const protocol::CircleId& circle,
                                                          const protocol::LogId& log) override;
    Result<bool> append_fork_proof(const protocol::CircleId& circle, const protocol::ForkProof& proof) override;
    Result<std::optional<protocol::Position>> position() override;
    Result<std::vector<protocol::LogChange>> changes_since(const protocol::CircleId& circle,
                                                           std::uint64_t arrival) override;
    Result<std::optional<protocol::Cursor>> cursor_for(const protocol::CircleId& circle,
                                                       const protocol::PeerTag& peer) override;
    Result<void> keep_cursor(const protocol::CircleId& circle, const protocol::PeerTag& peer,
                             const std::optional<protocol::Cursor>& cursor) override;

private:
    struct Log {
        std::int64_t ref = 0;
        protocol::LogId id;
        protocol::LogOpening opening;
        std::uint64_t next_seq = 0;  // events held, those beyond a fork too
        protocol::EventId head;
        std::optional<std::uint64_t> fork = std::nullopt;

        std::uint64_t counting() const { return fork ? std::min(next_seq, *fork) : next_seq; }
    };

    // What one step looks up once; it dies with the step, so that nothing of a step that failed is believed later.
    struct Step {
        std::optional<std::pair<protocol::CircleId, protocol::KeyId>> key_name;
        std::optional<protocol::AeadKey> key;
        std::optional<protocol::HybridTime> latest;
        bool latest_moved = false;
        std::size_t weight = 0;  // logs begun and control events stored
    };
    // How much waits in a circle, and how much there was when nothing did. A guess: table `unsettled` says whether.
    struct Backlog {
        std::size_t weight = 0;
        std::size_t settled = 0;
    };

    // Columns: log, next_seq, head, fork, anything, id of the event before the fork.
    static protocol::LogHead head_in(const sqlite::Row& row);
    Result<protocol::Appended> take_run(const protocol::CircleId& circle, const protocol::Run& run, bool& new_log);
    Result<bool> put_fork_proof(const protocol::CircleId& circle, const protocol::ForkProof& proof);
    Result<void> note_fork(const protocol::CircleId& circle, const Log& log,
                           const std::vector<protocol::CheckedEvent>& theirs);
    Result<std::optional<Log>> find_log(const protocol::CircleId& circle, const protocol::LogId& log);
    Result<Log> own_log(const protocol::CircleId& circle);
    Result<std::int64_t> insert_log(const protocol::CircleId& circle, const Log& log, bool mine);
    Result<protocol::ChainTip> tip_before(const Log& log, std::uint64_t seq);
    // Consecutive events, the first of which is the log's next.
    Result<void> store_events(const Log& log, std::span<const protocol::CheckedEvent> events);
    Result<std::vector<protocol::Appended>> append_step(const protocol::CircleId& circle,
                                                        const std::vector<protocol::Run>& runs, bool may_wait);
    Result<bool> is_unsettled(const protocol::CircleId& circle);
    Result<void> settle_or_wait(const protocol::CircleId& circle, bool new_log, std::size_t weight);
    // None if the key is not here.
    Result<const protocol::AeadKey*> key_in_step(Step& step, const protocol::CircleId& circle,
                                                 const protocol::KeyId& key);
    Result<void> note_time(const protocol::HybridTime& time);
    // The next events after that tip, so many or a chunk of them; never none. Ids are taken as they are stored.
    Result<std::vector<protocol::CheckedEvent>> read_events(const Log& log, const protocol::CircleId& circle,
                                                            const protocol::ChainTip& before, std::uint64_t wanted);
    // False if the event cannot be read.
    Result<bool> visit_one(const Log& log, const protocol::CircleId& circle, const protocol::CheckedEvent& event,
                           const protocol::AeadKey* key, const EventVisitor& visit);
    Result<void> take_in(const OpenedEvent& event);
    // Ends a step that stored events of the circle; what waited in it is done too.
    Result<void> settle(const protocol::CircleId& circle, bool new_log);
    Result<std::optional<protocol::EventId>> stored_id(const Log& log, std::uint64_t seq);
    Result<protocol::EventId> append_under(const protocol::AeadKey& key, const NewEvent& event, WallTime now);
    Result<void> add_key_within(const protocol::CircleId& circle, const protocol::AeadKey& key, bool& new_log);
    Result<void> follow_links(const protocol::CircleId& circle, const protocol::AeadKey& key, const Bytes& rotation);
    Result<void> take_in_linked(bool& new_log);
    Result<void> put_key(const protocol::CircleId& circle, const protocol::AeadKey& key);
    Result<void> open_and_take_in(const Log& log, const protocol::CircleId& circle, const protocol::EventId& id,
                                  const protocol::Event& event);
    Result<void> put_unread(const Log& log, const protocol::CircleId& circle, const protocol::EventHeader& header);
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
    Step* step_ = nullptr;  // while one runs
    std::map<protocol::CircleId, Backlog> backlog_;
    // Older keys that rotations taken in by this step link to, and that are not here yet.
    std::vector<std::pair<protocol::CircleId, protocol::AeadKey>> linked_;
};

}  // namespace ladderline::store
