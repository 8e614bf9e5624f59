#pragma once
// A member's side of one visit to a courier, for one circle. Sans-IO: messages in, messages out. The connection was
// made with a key for this one call, so the courier learns that a member came, not which one. No key ever goes to it.
//
//   Access with the key that is thought to be expected; with another that is held, if the courier names that one
//   a key of before: asks for the sealed copies of what followed, and tries the key that opens
//   granted: leaves sealed copies, renews (the registrar), syncs, asks for keys that are missing
//   the same root on both sides: the courier's receipt; then goodbye

#include <deque>
#include <set>

#include "protocol/courier/messages.hpp"
#include "protocol/sync/session.hpp"
#include "protocol/sync/wraps.hpp"

namespace ladderline::protocol {

struct VisitSetup {
    CircleId circle;
    DhPublic courier;                                // its Noise key, for the cursors of this side
    SignPublic signing;                              // checks its receipts
    DhKeys box;                                      // opens this device's copies
    std::optional<DhKeys> paper_box = std::nullopt;  // opens the copies for the owner's paper key
    std::vector<AeadKey> keys;                       // of the circle, the one to try first in front; never empty
    std::vector<WrapAnswerMessage::Copy> to_leave;
    // The registrar alone:
    std::optional<SignSecret> registrar;
    std::optional<SignPublic> renew_to;  // the access key that the courier is to expect from now on
    bool stop = false;                   // end the place instead of a visit
};

struct VisitOutcome {
    AccessVerdict verdict = AccessVerdict::unknown;
    bool in_step = false;
    bool full = false;
    std::uint64_t used_bytes = 0;
    std::optional<Receipt> receipt;
    bool receipt_is_current = false;  // its root is that of what is held here
    bool copies_left = false;
    bool was_behind = false;          // the courier waited for an older key than the newest held here
    std::optional<CourierSaid> said;  // to Renew or Stop
};

class Visitor {
public:
    // `log` and `shelf` outlive the visitor.
    Visitor(LogView& log, WrapShelf& shelf, VisitSetup setup, const HandshakeHash& handshake);

    // Any error ends the visit; what was stored by then is kept.
    Result<void> on_message(ByteView message);
    std::optional<Bytes> next_output();
    // Nothing more is to be said or awaited.
    bool is_over() const { return over_ && ready_.empty(); }
    const VisitOutcome& outcome() const { return outcome_; }
    // The circle got events or became more readable since the last call.
    bool take_changed() { return std::exchange(changed_, false); }

private:
    void claim(const AeadKey& key);
    Result<void> on(const AccessAnswerMessage& message);
    Result<void> on(const SaidMessage& message);
    Result<void> on(const Receipt& receipt);
    Result<void> on_courier_message(ByteView message);
    Result<void> on_wraps(ByteView message);
    Result<void> on_first_copies(const WrapAnswerMessage& message);
    Result<void> begin_session(const AccessAnswerMessage::Entry& entry);
    void leave_copies();
    Result<void> ask_for_keys();
    void ask_for_first_copies(const std::vector<KeyId>& keys);
    std::optional<AeadKey> open_copy(const WrapAnswerMessage::Copy& copy) const;
    Result<void> after_session();
    void end_if_done();

    LogView& log_;
    VisitSetup setup_;
    HandshakeHash handshake_;
    WrapBook book_;
    std::optional<Session> session_;
    std::deque<Bytes> ready_;
    std::set<AccessHint> tried_;
    AccessHint expected_;
    SignPublic claimed_;
    bool awaits_answer_ = false;
    bool awaits_first_copies_ = false;
    bool awaits_renewal_ = false;
    bool changed_ = false;
    bool over_ = false;
    VisitOutcome outcome_;
};

}  // namespace ladderline::protocol
