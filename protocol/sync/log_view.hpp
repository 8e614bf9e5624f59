#pragma once
// What a sync session asks of whatever holds the events. The store implements it; tests have a memory twin.

#include <vector>

#include "protocol/event/fork_proof.hpp"
#include "protocol/sync/root.hpp"

namespace ladderline::protocol {

enum class Appended : std::uint8_t {
    stored,   // all or part was new and is now stored
    known,    // nothing new, or nothing that counts: beyond the fork of a forked log
    gap,      // the log's earlier events are missing here: ask for them
    forked,   // the log holds another event at that place; its proof is kept now, unless no proof can be made
    strange,  // does not continue what is held of the log, and no signature holds: another branch of it, or made up
    later,    // good, and not stored: there is no room for it now (a courier's)
};

struct InstanceTagTag;
struct PeerTagTag;
using InstanceTag = FixedBytes<InstanceTagTag, 4>;  // tells the incarnations of one device's store apart; random
using PeerTag = FixedBytes<PeerTagTag, 16>;         // names a peer's device and the instance of its store

// How far a store had come: so many events had arrived in it, in all its circles.
struct Position {
    InstanceTag instance;
    std::uint64_t arrivals = 0;
};

// The two stores held the same of a circle when each had come so far.
struct Cursor {
    std::uint64_t peer_arrivals = 0;
    std::uint64_t own_arrivals = 0;

    bool operator==(const Cursor&) const = default;
};

// A log that got events, or a fork, after some arrival.
struct LogChange {
    LogHead now;
    std::uint64_t from = 0;  // the log's next_seq at that arrival
};

class LogView {
public:
    virtual ~LogView() = default;
    // Every log of the circle that holds an event or is known to fork, in order of log id. Of a forked log only what
    // stands before the fork.
    virtual Result<std::vector<LogHead>> heads(const CircleId& circle) = 0;
    // Events of one log from `first_seq` on, cut as RunCutter says: beyond a fork those up to a signature; never empty.
    // not_found if none counts, or none that does has a signature over it here.
    virtual Result<Run> read_run(const CircleId& circle, const LogId& log, std::uint64_t first_seq) = 0;
    // Checks and stores in one step; read models follow in the same transaction. Fault::peer for bytes that break the
    // chain rule; Fault::disk if it could not be stored.
    virtual Result<Appended> append_run(const CircleId& circle, const Run& run) = 0;
    // Several runs of one message. A store makes one transaction of it; what came before a bad run may be kept.
    virtual Result<std::vector<Appended>> append_runs(const CircleId& circle, const std::vector<Run>& runs) {
        std::vector<Appended> out;
        for (const Run& run : runs) {
            TRY(const Appended outcome, append_run(circle, run));
            out.push_back(outcome);
        }
        return out;
    }
    // The same while more is known to come: what is dear to work out may wait for end_burst().
    virtual Result<std::vector<Appended>> append_burst(const CircleId& circle, const std::vector<Run>& runs) {
        return append_runs(circle, runs);
    }
    // Whatever waits in the circle is worked out now.
    virtual Result<void> end_burst(const CircleId&) { return ok(); }
    // Every log of the circle in the order in which they were begun here: who admitted comes before who was admitted,
    // so that what is sent makes sense early. Empty: no order is known.
    virtual Result<std::vector<LogId>> oldest_first(const CircleId&) { return std::vector<LogId>(); }
    // Events of the log stored so far that count (0 if unknown).
    virtual Result<std::uint64_t> next_seq(const CircleId& circle, const LogId& log) = 0;
    // The id of one stored event that counts; none if it is not here.
    virtual Result<std::optional<EventId>> event_id(const CircleId& circle, const LogId& log, std::uint64_t seq) = 0;

    // The proof for a forked log; none if the log is not known to fork. Of several the one with the smallest seq.
    virtual Result<std::optional<ForkProof>> fork_proof(const CircleId&, const LogId&) {
        return std::optional<ForkProof>();
    }
    // Keeps a proof that verify_fork found good, unless one with as small a seq is here. Gives whether it was new.
    virtual Result<bool> append_fork_proof(const CircleId&, const ForkProof&) { return false; }

    // A view without a position (a courier's, a test's) syncs without cursors.
    virtual Result<std::optional<Position>> position() { return std::optional<Position>(); }
    // What the circle got after that arrival, in any order. Precondition: arrival <= position()->arrivals.
    virtual Result<std::vector<LogChange>> changes_since(const CircleId&, std::uint64_t /*arrival*/) {
        return std::vector<LogChange>();
    }
    virtual Result<std::optional<Cursor>> cursor_for(const CircleId&, const PeerTag&) {
        return std::optional<Cursor>();
    }
    // None forgets it. Only after what it speaks of has been stored; a cursor lost in a crash costs bytes, not events.
    virtual Result<void> keep_cursor(const CircleId&, const PeerTag&, const std::optional<Cursor>&) { return ok(); }
};

}  // namespace ladderline::protocol
