#pragma once
// What a courier keeps: places for circles, their sealed events, and sealed copies of keys. It can read none of it.
// A quota counts an event as its sealed body and `event_overhead_bytes`.

#include <map>
#include <set>

#include "protocol/courier/attendant.hpp"
#include "protocol/handshake/preface.hpp"
#include "protocol/sync/forwarded_log.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

inline constexpr std::uint64_t event_overhead_bytes = 256;  // header, signature and rows

// A place that the keeper gives to whoever brings the code's secret, once, until `expires`.
struct CourierCode {
    protocol::InviteId id;
    Bytes secret;  // 32 bytes
    std::uint64_t quota_bytes = 0;
    std::uint32_t days = 0;
    WallTime expires;
};
// refused: the courier keeps limits::courier_places_max circles, or has given out as many codes.
Result<void> add_courier_code(sqlite::Database& db, const CourierCode& code);
Result<std::optional<Bytes>> secret_of_code(sqlite::Database& db, const protocol::InviteId& id, WallTime now);

// What the courier says of itself.
struct CourierSelf {
    protocol::DhPublic noise;
    protocol::SignPublic signing;
};
// What the caller has proven on this connection: access keys of circles.
using ProvenAccess = std::set<std::pair<protocol::CircleId, protocol::SignPublic>>;
// Uses the code up. A circle that has a place gets the code's quota and days, and the caller as its registrar (the
// former one may have lost their store), if the caller has proven the key that is expected: the keeper's code says
// nothing about whose circle it is, and whoever was removed knows its id. Otherwise a refusal, and the code stays good.
Result<protocol::PlacedMessage> take_place(sqlite::Database& db, const CourierSelf& self, const protocol::InviteId& id,
                                           const protocol::PlaceMessage& message, WallTime now,
                                           const ProvenAccess& proven = {});

// All that a keeper is shown.
struct PlaceLine {
    protocol::CircleId circle;
    std::uint64_t events = 0;
    std::uint64_t used_bytes = 0;
    std::uint64_t quota_bytes = 0;
    std::uint32_t days = 0;
    WallTime visited;
};
Result<std::vector<PlaceLine>> courier_places(sqlite::Database& db);
// The place, the circle's events and copies. Arrival numbers go on, so that nobody's cursor fits by chance.
Result<void> remove_place(sqlite::Database& db, const protocol::CircleId& circle);
// Counts what is kept anew; once at the start.
Result<void> count_places(sqlite::Database& db);
// Removes places that nobody visited for their days, copies that are older than that, and codes that are over.
Result<std::vector<protocol::CircleId>> remove_outdated(sqlite::Database& db, WallTime now);

// The log as one visitor of a courier sees it: reading is the log's, writing has a quota.
class QuotaView : public protocol::ForwardedLog {
public:
    QuotaView(sqlite::Database& db, EventLog& log) : ForwardedLog(log), db_(db) {}

    void set_today(Day today) { today_ = today; }
    std::vector<protocol::FullMessage> take_refusals() { return std::exchange(refusals_, {}); }

    Result<protocol::Appended> append_run(const protocol::CircleId& circle, const protocol::Run& run) override;
    Result<std::vector<protocol::Appended>> append_runs(const protocol::CircleId& circle,
                                                        const std::vector<protocol::Run>& runs) override;
    Result<bool> append_fork_proof(const protocol::CircleId& circle, const protocol::ForkProof& proof) override;
    // A courier keeps nothing about its visitors.
    Result<std::optional<protocol::Cursor>> cursor_for(const protocol::CircleId&, const protocol::PeerTag&) override {
        return std::optional<protocol::Cursor>();
    }
    Result<void> keep_cursor(const protocol::CircleId&, const protocol::PeerTag&,
                             const std::optional<protocol::Cursor>&) override {
        return ok();
    }

private:
    struct Room {
        std::uint64_t place = 0;  // bytes left
        std::map<protocol::LogId, std::uint64_t> logs = {};
    };
    Result<Room> room_of(const protocol::CircleId& circle);
    Result<std::uint64_t> room_of_log(const protocol::CircleId& circle, const protocol::LogId& log);
    Result<bool> fits(const protocol::CircleId& circle, const protocol::Run& run, std::uint64_t bytes, Room& room);
    Result<std::uint64_t> new_bytes(const protocol::CircleId& circle, const protocol::Run& run);
    Result<void> count(const protocol::CircleId& circle, const protocol::LogId& log, std::uint64_t bytes);
    void refuse(const protocol::CircleId& circle, protocol::FullReason reason);

    sqlite::Database& db_;
    Day today_{};
    std::vector<protocol::FullMessage> refusals_;
    std::set<std::pair<protocol::CircleId, protocol::FullReason>> told_;
};

// One connection's book.
class DeskBook : public protocol::CourierBook {
public:
    DeskBook(sqlite::Database& db, EventLog& log) : db_(db), view_(db, log) {}

    void set_today(Day today) { view_.set_today(today); }

    Result<std::optional<protocol::CourierPlace>> find_place(const protocol::CircleId& circle) override;
    Result<void> note_visit(const protocol::CircleId& circle, WallTime now) override;
    Result<void> renew(const protocol::CircleId& circle, const protocol::SignPublic& access) override;
    Result<void> remove(const protocol::CircleId& circle) override { return remove_place(db_, circle); }
    Result<std::vector<protocol::KeyId>> kept_keys(const protocol::CircleId& circle) override;
    Result<std::optional<protocol::Wrap>> kept_copy(const protocol::CircleId& circle, const protocol::KeyId& key,
                                                    const protocol::WrapTag& tag) override;
    Result<void> keep_copies(const protocol::CircleId& circle,
                             const std::vector<protocol::WrapAnswerMessage::Copy>& copies, WallTime now) override;
    Result<void> replace_copies(const protocol::CircleId& circle,
                                const std::vector<protocol::WrapAnswerMessage::Copy>& copies, WallTime now) override;
    protocol::LogView& log() override { return view_; }
    std::vector<protocol::FullMessage> take_refusals() override { return view_.take_refusals(); }

private:
    Result<void> put_copies(std::string_view sql, const protocol::CircleId& circle,
                            const std::vector<protocol::WrapAnswerMessage::Copy>& copies, WallTime now);

    sqlite::Database& db_;
    QuotaView view_;
};

}  // namespace ladderline::store
