#pragma once
// The courier's side of one connection. Sans-IO: messages in, messages out. It checks who may come in, lets an ordinary
// sync session run over the circles that were granted, keeps and hands out sealed copies of keys that it cannot open,
// and signs a receipt whenever the visitor and it hold the same. It has no key to any circle and asks for none.

#include <deque>
#include <set>

#include "protocol/courier/messages.hpp"
#include "protocol/sync/session.hpp"
#include "protocol/sync/wraps.hpp"

namespace ladderline::protocol {

// A circle that a courier keeps.
struct CourierPlace {
    SignPublic access;
    SignPublic registrar;
    std::vector<SignPublic> former;  // access keys of before, the newest first; at most limits::courier_former_max
    std::uint64_t used_bytes = 0;
    std::uint32_t days = 0;
    bool full = false;
};

// What an attendant asks of whatever keeps the places; one object for each connection.
class CourierBook {
public:
    virtual ~CourierBook() = default;
    virtual Result<std::optional<CourierPlace>> find_place(const CircleId& circle) = 0;
    virtual Result<void> note_visit(const CircleId& circle, WallTime now) = 0;
    // The key of now becomes a former one.
    virtual Result<void> renew(const CircleId& circle, const SignPublic& access) = 0;
    // The place and everything kept in it.
    virtual Result<void> remove(const CircleId& circle) = 0;
    // Epoch keys of which copies are kept, the newest first; at most limits::list_max.
    virtual Result<std::vector<KeyId>> kept_keys(const CircleId& circle) = 0;
    virtual Result<std::optional<Wrap>> kept_copy(const CircleId& circle, const KeyId& key, const WrapTag& tag) = 0;
    virtual Result<void> keep_copies(const CircleId& circle, const std::vector<WrapAnswerMessage::Copy>& copies,
                                     WallTime now) = 0;
    // The same, but what is kept for their tags goes.
    virtual Result<void> replace_copies(const CircleId& circle, const std::vector<WrapAnswerMessage::Copy>& copies,
                                        WallTime now) = 0;
    // Gives Appended::later for what there is no room for, and says so once in take_refusals.
    virtual LogView& log() = 0;
    virtual std::vector<FullMessage> take_refusals() = 0;
};

class Attendant {
public:
    // `book` and `signing` outlive the attendant.
    Attendant(CourierBook& book, const SignSecret& signing, const HandshakeHash& handshake)
        : book_(book), signing_(signing), handshake_(handshake) {}

    // Any error ends the connection.
    Result<void> on_message(ByteView message, WallTime now);
    std::optional<Bytes> next_output();
    // Another connection brought events of the circle.
    Result<void> on_news(const CircleId& circle);

    // Circles that got events, that were renewed or removed by this connection, since the last call.
    std::vector<CircleId> take_changed() { return std::exchange(changed_, {}); }
    std::vector<CircleId> take_closed() { return std::exchange(closed_, {}); }
    // To any circle.
    bool has_access() const { return !granted_.empty(); }
    bool has_access_to(const CircleId& circle) const { return granted_.contains(circle); }
    bool peer_said_bye() const { return session_ && session_->peer_said_bye(); }

private:
    Result<void> on(const AccessMessage& message, WallTime now);
    Result<void> on(const RenewMessage& message);
    Result<void> on(const StopMessage& message);
    template <class Message>
    Result<std::optional<CourierPlace>> place_of_registrar(const Message& message);
    Result<AccessAnswerMessage::Entry> judge(const AccessMessage::Claim& claim);
    Result<void> on_courier_message(ByteView message, WallTime now);
    Result<void> on_wraps(ByteView message, WallTime now);
    Result<void> after_session(WallTime now);
    void push(const CourierMessage& message) { ready_.push_back(encode_courier_message(message)); }

    CourierBook& book_;
    const SignSecret& signing_;
    HandshakeHash handshake_;
    std::optional<Session> session_;
    std::set<CircleId> granted_;
    std::set<CircleId> former_;
    std::set<CircleId> registered_;  // whose registrar this is
    std::set<CircleId> receipted_;   // in step, and told so
    std::deque<Bytes> ready_;
    std::vector<CircleId> changed_;
    std::vector<CircleId> closed_;
    std::size_t accesses_ = 0;
};

}  // namespace ladderline::protocol
