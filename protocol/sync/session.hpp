#pragma once
// One sync session between two peers over the circles that they share, from the first root to live news.
// Sans-IO: messages in, messages out; the events themselves go through the LogView at once.
//
//   both      Hello: a root per circle                                  equal: done in one round trip
//   both      Heads, for each circle whose roots differ
//   both      Run ... Run, then Sent
//   both      Root, once the other's Sent has come                      compared: unequal is counted, Heads follow
//   again later     Run, whenever local news arrives; the session stays open
//
// One round is one Heads each way: who gets a Heads without having sent one answers with their own first.
// A run of a circle that was not agreed in the Hello ends the session. A log that turns out to be forked between the
// two is left alone for the rest of the session: neither of them is the liar. Everything but Need, Grant and Bye is
// made when it is asked for, so that a peer who asks for much and reads slowly costs no memory: take a message only
// when the last one is on its way.

#include <deque>
#include <map>
#include <set>

#include "protocol/sync/messages.hpp"

namespace ladderline::protocol {

class Session {
public:
    Session(Session&&) = default;  // tasks point into circles_, whose buffer moves along
    Session& operator=(Session&&) = delete;

    // `log` must outlive the session. `circles`: those that both peers are in, as this side knows it.
    // `binding`: 32 bytes that only these two connections' ends share (the handshake hash); it keys the circle tags.
    Session(LogView& log, std::vector<CircleId> circles, ByteView binding);

    // The key that a peer who belongs to the circle gets if its Hello does not name it. Before the peer's Hello.
    void offer_key(const CircleId& circle, const AeadKey& key);
    // Keys that the peer granted; the owner checks them, and begins a new session to sync those circles.
    std::vector<GrantMessage> take_grants();

    // This side's Hello as message bytes; to be sent first, by each side once.
    Result<Bytes> hello();
    // A message from the peer. Any error ends the session.
    Result<void> on_message(ByteView message);
    // Something was appended to this circle here (by a person or by another session).
    Result<void> on_local_news(const CircleId& circle);
    // Next message to send; nothing if there is none now. If the log could not be read, the next on_message or
    // on_local_news says so.
    std::optional<Bytes> next_output();
    // The last word: whatever still waited to be sent is dropped.
    void say_bye();

    // Circles that got events from the peer since the last call, each once; the driver tells readers and other
    // sessions.
    std::vector<CircleId> take_changed();
    // The last comparison of roots was equal in every circle that both know.
    bool in_step() const;
    bool peer_said_bye() const { return peer_bye_; }
    // How often roots differed after all runs had been exchanged.
    std::size_t mismatches() const { return mismatches_; }

private:
    struct Circle {
        CircleId id;
        CircleTag tag;
        std::map<LogId, std::uint64_t> peer_next;  // what the peer is known to hold, or was sent
        std::map<LogId, std::uint64_t> asked;      // places from which a Need asked
        std::set<LogId> forked;
        bool agreed = false;  // in the peer's Hello too
        bool heads_known = false;
        bool heads_sent = false;    // not yet answered by the peer's
        bool sent_said = false;     // a Sent went out
        bool sent_more = false;     // and a Run after the last one: the Root that answers it need not fit
        std::size_t roots_due = 0;  // Sents that went out and have no Root for an answer yet
        bool in_step = false;
        std::size_t retries = 0;
        std::optional<AeadKey> to_grant;
    };

    // Something to say, not yet put into bytes.
    struct Task {
        enum class What : std::uint8_t { ready, heads, missing, sent, root };
        What what = What::ready;
        Circle* circle = nullptr;        // none for `ready`
        Bytes message = {};              // of `ready`
        std::vector<LogHead> logs = {};  // to be sent now, up to next_seq; the last one first
    };

    Circle* find(const CircleTag& tag);
    Circle* find_agreed(const CircleTag& tag);
    Result<Root> root(const Circle& circle);
    void push(Task::What what, Circle& circle);
    void push(const SyncMessage& message);
    bool is_waiting(Task::What what, const Circle& circle) const;
    Result<std::optional<Bytes>> closing_message(Task& task);
    Result<std::optional<Bytes>> next_run(Task& task);
    Result<std::vector<LogHead>> lacked_by_peer(const Circle& circle);
    Result<void> compare_heads(Circle& circle, const HeadsMessage& message);
    Result<void> check_failure();
    Result<void> on(const HelloMessage& message);
    Result<void> on(const HeadsMessage& message);
    Result<void> on(const RunMessage& message);
    Result<void> on(const NeedMessage& message);
    Result<void> on(const SentMessage& message);
    Result<void> on(const RootMessage& message);
    Result<void> on(const ByeMessage& message);
    Result<void> on(const GrantMessage& message);
    Result<void> on(const JoinMessage& message);
    Result<void> on(const WelcomeMessage& message);
    Result<void> on(const ReturnMessage& message);
    Result<void> on(const ReturnedMessage& message);

    LogView& log_;
    std::vector<Circle> circles_;  // never grows after construction
    std::deque<Task> tasks_;
    std::vector<CircleId> changed_;
    std::vector<GrantMessage> grants_;
    std::optional<Error> failure_;
    bool hello_seen_ = false;
    bool peer_bye_ = false;
    bool bye_said_ = false;
    std::size_t mismatches_ = 0;
};

}  // namespace ladderline::protocol
