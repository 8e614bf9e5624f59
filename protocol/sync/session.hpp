#pragma once
// One sync session between two peers over the circles that they share, from the first root to live news.
// Sans-IO: messages in, messages out; the events themselves go through the LogView at once.
//
//   called    Hello: a root per circle
//   caller    Answer: equal (done in one round trip), or
//             Changes, if the two held the same before: what the caller got since; or
//             Tree: digests of the logs by 32 branches
//   turns     Tree, for what differs, down to single logs
//   both      Need, Run, Proof: what the other lacks
//   both      Done: the root again; answered by Same, or by a Done of the other if more is under way
//   later     Run, whenever local news arrives; the session stays open
//
// A message of a circle that was not agreed, or out of turn, ends the session. A log that forked is proven so and cut
// at the fork on both sides. Runs are made when they are asked for, at most limits::flight_bytes_max of them beyond
// what the peer has acknowledged, so a peer who reads slowly costs no memory: take a message only when the last one is
// on its way.

#include <deque>
#include <map>
#include <set>

#include "protocol/base/time.hpp"
#include "protocol/sync/messages.hpp"
#include "protocol/sync/peer_view.hpp"

namespace ladderline::protocol {

class Session {
public:
    enum class Side : std::uint8_t { caller, called };

    Session(Session&&) = default;  // tasks point into circles_, whose buffer moves along
    Session& operator=(Session&&) = delete;

    // `log` must outlive the session. `circles`: those that both peers are in, as this side knows it.
    // `binding`: 32 bytes that only these two connections' ends share (the handshake hash); it keys all tags and
    // digests. `peer`: the peer's device key, for the cursors that this side keeps; empty: none.
    Session(LogView& log, Side side, std::vector<CircleId> circles, ByteView binding, ByteView peer = {});

    // The key that a peer who belongs to the circle gets if it does not name it. Before the peer's first message.
    void offer_key(const CircleId& circle, const AeadKey& key);
    // Keys that the peer granted; the owner checks them, and begins a new session to sync those circles.
    std::vector<GrantMessage> take_grants();

    // Before begin(): the peer is not told this store's instance and arrivals, by which it could know it again. The
    // cursors of this side work all the same.
    void hide_position() { hides_position_ = true; }
    // The peer has no room for more of this circle: what it has is still asked for, nothing is sent from now on.
    void hold_back(const CircleId& circle);

    // Once, before anything else. The called side has its Hello to send then.
    Result<void> begin();
    // A message from the peer. Any error ends the session.
    Result<void> on_message(ByteView message);
    // Something was appended to this circle here (by a person or by another session).
    Result<void> on_local_news(const CircleId& circle);
    // Next message to send; nothing if there is none now. If the log could not be read, the next on_message or
    // on_local_news says so.
    std::optional<Bytes> next_output();
    // The last word: whatever still waited to be sent is dropped.
    void say_bye();

    // Circles that got events or proofs from the peer since the last call, each once; the driver tells readers and
    // other sessions.
    std::vector<CircleId> take_changed();
    // The connection has ended and this side goes on: what was dear to work out of a past that came in part waits no
    // longer, and is among what changed.
    Result<void> end_bursts();
    // The peer's first message is here.
    bool greeted() const { return greeted_; }
    // The last comparison of roots was equal in every circle that both know.
    bool in_step() const;
    // The same of one circle.
    bool in_step(const CircleId& circle) const;
    // Every circle that both know is in step, or compared to its end without becoming so.
    bool concluded() const;
    bool peer_said_bye() const { return peer_bye_; }
    // How often roots differed after everything had been exchanged.
    std::size_t mismatches() const { return mismatches_; }
    // Bytes of Run messages that the peer has not acknowledged.
    std::uint64_t in_flight() const { return run_bytes_sent_ - run_bytes_acked_; }
    // Since when the peer owes an acknowledgement, as far as calls of this have seen; none if it owes none. Called now
    // and then, with the driver's clock: a session has no clock of its own to end a peer that takes nothing.
    std::optional<MonoTime> unacknowledged_since(MonoTime now);

private:
    enum class Awaiting : std::uint8_t { nothing, tree, changes, turn };

    struct Circle {
        CircleId id;
        CircleTag tag;
        TreeKey tree_key;
        CircleIndex index = 0;
        bool agreed = false;
        HeadTree tree;
        bool tree_stale = true;
        std::vector<LogHead> hello_heads;  // called: what the Hello's root speaks of, until the Answer
        std::uint64_t hello_arrivals = 0;
        PeerView peer;
        bool peer_known = false;
        bool news = false;  // since the Hello
        Awaiting awaiting = Awaiting::nothing;
        std::size_t compares = 0;
        std::vector<LogTag> told_logs;          // that Tree messages of this comparison listed, heads_max at most
        std::size_t heard_logs = 0;             // the same of the peer
        std::map<LogTag, LogId> begun;          // logs that the peer's runs began
        std::map<LogTag, std::uint64_t> asked;  // places from which a Need asked because of a gap
        std::vector<LogChange> told_changes;    // caller: the logs of the Changes that were sent
        std::set<LogId> probed;
        std::set<LogId> strange;       // a run of it continued something that is not here: asked about once
        std::uint64_t said = 0;        // Run, Need, Probe and Proof messages
        std::uint64_t taken = 0;       // the same of the peer
        std::uint64_t dones = 0;       // said
        std::uint64_t peer_dones = 0;  // taken in
        std::uint64_t done_arrivals = 0;
        std::size_t runs_since_done = 0;
        std::size_t burst_messages = 0;  // Run messages in a row that the log took as a burst
        bool in_step = false;
        bool held_back = false;
        std::size_t logs_here = 0;     // as last looked at, and those taken since
        std::uint64_t counted_at = 0;  // `taken` when that was last looked at for a new log
        bool is_full = false;          // a new log of the peer was left, for want of room
        bool given_up = false;         // the roots differ, and nothing more is tried in this session
        std::size_t retries = 0;
        std::optional<AeadKey> to_grant;
    };

    // Something to say, not yet put into bytes.
    struct Task {
        enum class What : std::uint8_t { missing, done };
        What what = What::missing;
        Circle* circle = nullptr;
        std::vector<LogHead> logs = {};  // to be sent now, up to next_seq; the last one first
    };

    Circle* find(const CircleTag& tag);
    Result<Circle*> agreed(CircleIndex index);
    Result<Circle*> in_talk(CircleIndex index);
    void push(const SyncMessage& message);
    void push_counted(Circle& circle, const SyncMessage& message);
    void push(Task::What what, Circle& circle);
    Result<void> check_failure();
    Result<void> read_position();

    // out (session.cpp)
    Result<std::optional<Bytes>> message_of(Task& task);
    Result<std::optional<Bytes>> missing_message(Task& task);
    Result<void> add_runs(Task& task, RunMessage& message);
    Result<std::vector<LogHead>> lacked_by_peer(const Circle& circle);
    bool is_lacked(const Circle& circle, const LogHead& head) const;
    Result<std::optional<Bytes>> done_message(Circle& circle);

    // comparing (session_compare.cpp)
    Result<void> refresh(Circle& circle);
    Result<void> greet(Circle& circle, const HelloMessage& hello, const Root& root, AnswerMessage& answer,
                       std::vector<SyncMessage>& next);
    Result<std::optional<ChangesMessage>> changes(Circle& circle, const Cursor& cursor, std::uint64_t hello_arrivals);
    Result<TreeMessage> begin_compare(Circle& circle);
    TreeNode describe(const Circle& circle, NodePath path) const;
    static void note_told(Circle& circle, const TreeMessage& message);
    Result<void> compare_node(Circle& circle, const TreeNode& node, std::vector<TreeNode>& replies,
                              std::vector<NeedPlace>& needs);
    Result<void> compare_logs(Circle& circle, const TreeNode& node, std::vector<NeedPlace>& needs);
    Result<bool> is_unchanged(Circle& circle, const LogPlace& place, const std::set<LogId>& changed);
    void finish_compare(Circle& circle, NeedMessage need);
    Result<void> learn(Circle& circle, const LogPlace& place, std::vector<NeedPlace>* needs);
    Result<void> probe(Circle& circle, const HeadTree::Leaf& mine, std::uint64_t below);
    Result<const HeadTree::Leaf*> leaf_of(Circle& circle, const LogTag& tag);

    // events and the end (session_events.cpp)
    Result<std::optional<LogId>> log_of_tag(Circle& circle, const LogTag& tag);
    Result<std::optional<Run>> read_entry(Circle& circle, const RunMessage::Entry& entry,
                                          std::vector<NeedPlace>& needs);
    Result<bool> has_room(Circle& circle, const LogId& log);
    Result<void> take_outcome(Circle& circle, const Run& run, Appended outcome, std::vector<NeedPlace>& needs);
    // A Need of what follows the events that are here.
    Result<void> ask_from_here(Circle& circle, const LogId& log, std::vector<NeedPlace>& needs);
    void note_change(Circle& circle);
    void tell_change(const Circle& circle);
    Result<void> end_burst(Circle& circle);
    Result<void> keep_cursor(Circle& circle, std::uint64_t peer_arrivals, std::uint64_t own_arrivals);
    Result<void> on_equal(Circle& circle, std::uint64_t peer_arrivals, std::uint64_t own_arrivals);
    Result<void> on_mismatch(Circle& circle);

    Result<void> on(const HelloMessage& message);
    Result<void> on(const AnswerMessage& message);
    Result<void> on(const ChangesMessage& message);
    Result<void> on(const TreeMessage& message);
    Result<void> on(const RunMessage& message);
    Result<void> on(const NeedMessage& message);
    Result<void> on(const ProbeMessage& message);
    Result<void> on(const ProofMessage& message);
    Result<void> on(const DoneMessage& message);
    Result<void> on(const SameMessage& message);
    Result<void> on(const AgainMessage& message);
    Result<void> on(const AckMessage& message);
    Result<void> on(const ByeMessage& message);
    Result<void> on(const GrantMessage& message);
    Result<void> on(const JoinMessage& message);
    Result<void> on(const WelcomeMessage& message);
    Result<void> on(const ReturnMessage& message);
    Result<void> on(const ReturnedMessage& message);

    LogView& log_;
    Side side_;
    Bytes peer_key_;
    std::optional<PeerTag> peer_tag_;     // once the peer's instance is known
    std::optional<Position> position_;    // as last read
    std::vector<Circle> circles_;         // never grows after construction
    std::vector<Circle*> hello_circles_;  // in the order of the Hello; none for one that is not known here
    std::deque<Bytes> urgent_;            // ready messages; they go before all tasks
    std::size_t urgent_bytes_ = 0;
    std::deque<Task> tasks_;
    std::vector<CircleId> changed_;
    std::vector<GrantMessage> grants_;
    std::optional<Error> failure_;
    std::uint64_t run_bytes_sent_ = 0;
    std::uint64_t run_bytes_acked_ = 0;
    std::uint64_t run_bytes_taken_ = 0;
    std::uint64_t run_bytes_told_ = 0;   // acknowledged to the peer
    std::uint64_t acked_when_seen_ = 0;  // run_bytes_acked_ at owed_since_
    std::optional<MonoTime> owed_since_;
    std::size_t message_bytes_ = 0;  // of the message being taken in
    bool hides_position_ = false;
    bool greeted_ = false;  // the peer's Hello or Answer is here
    bool peer_bye_ = false;
    bool bye_said_ = false;
    std::size_t mismatches_ = 0;
};

}  // namespace ladderline::protocol
