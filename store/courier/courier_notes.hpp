#pragma once
// What a member's node knows of its circles' couriers: where it is the registrar, how visits went, the receipts.

#include "protocol/courier/visitor.hpp"
#include "protocol/sync/forwarded_log.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

// One circle at one courier, which is known by its Noise key.
struct AtCourier {
    protocol::CircleId circle;
    protocol::DhPublic courier;
};

struct Registrar {
    AtCourier at;
    protocol::SignKeys keys;
    protocol::SignPublic access;  // that the courier was told last
    std::string address;
    bool stop = false;  // to be ended at the next visit
};
// `seed`: 32 bytes.
Result<void> keep_registrar(sqlite::Database& db, const AtCourier& at, ByteView seed,
                            const protocol::SignPublic& access, std::string_view address);
Result<std::optional<Registrar>> registrar_of(sqlite::Database& db, const AtCourier& at);
Result<std::vector<Registrar>> registrars_to_stop(sqlite::Database& db);
Result<void> note_renewal(sqlite::Database& db, const AtCourier& at, const protocol::SignPublic& access);
Result<void> want_stop(sqlite::Database& db, const AtCourier& at);
// Everything that is known of the circle at this courier.
Result<void> forget_courier(sqlite::Database& db, const AtCourier& at);

// Sealed copies kept here that the courier was not left yet.
Result<std::vector<protocol::WrapAnswerMessage::Copy>> copies_to_leave(sqlite::Database& db, const AtCourier& at);
Result<void> note_left(sqlite::Database& db, const AtCourier& at,
                       const std::vector<protocol::WrapAnswerMessage::Copy>& copies);
// The courier lost or ended the place: it will need everything again.
Result<void> forget_what_was_left(sqlite::Database& db, const AtCourier& at);

struct KeptReceipt {
    protocol::Receipt receipt;
    std::uint64_t covered = 0;  // arrivals here up to this are in what it names
};
Result<std::optional<KeptReceipt>> receipt_of(sqlite::Database& db, const AtCourier& at);
// `covered`: none if the receipt names something else than what is held here; then that of before stands.
Result<void> keep_receipt(sqlite::Database& db, const AtCourier& at, const protocol::Receipt& receipt,
                          std::optional<std::uint64_t> covered);
// Events of this device's own logs, or of anybody (`own` false), that no receipt covers yet.
Result<std::uint64_t> events_beyond(sqlite::Database& db, const protocol::CircleId& circle, std::uint64_t covered,
                                    bool own);

struct VisitNote {
    std::optional<WallTime> last_ok;
    std::string note;  // why the last visit failed; empty after a success
    bool full = false;
    std::uint64_t used_bytes = 0;
    std::uint64_t lacked = 0;
};
Result<VisitNote> visit_note(sqlite::Database& db, const AtCourier& at);
Result<void> note_visit(sqlite::Database& db, const AtCourier& at, const VisitNote& note);

// Keys of the circle, the one that is written under in front, the others as held_keys.hpp has them.
Result<std::vector<protocol::AeadKey>> visiting_keys(sqlite::Database& db, EventLog& log,
                                                     const protocol::CircleId& circle);

// The log during a visit. Notices when the courier lacks what it gave a receipt for.
class VisitView : public protocol::ForwardedLog {
public:
    // `covered`: by the receipt of before; 0 without one.
    VisitView(sqlite::Database& db, EventLog& log, std::uint64_t covered)
        : ForwardedLog(log), db_(db), covered_(covered) {}

    // Events that were covered by a receipt and had to be sent again.
    std::uint64_t lacked() const { return lacked_; }

    Result<protocol::Run> read_run(const protocol::CircleId& circle, const protocol::LogId& log,
                                   std::uint64_t first_seq) override;

private:
    sqlite::Database& db_;
    std::uint64_t covered_;
    std::uint64_t lacked_ = 0;
};

}  // namespace ladderline::store
