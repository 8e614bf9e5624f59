#pragma once
// Proof that a device wrote two events with one number into one log: headers of both branches from the fork on, each
// up to a signature of the device. Whoever sees it can check it alone; it needs no events and no key.
// What follows from it is the same everywhere: nothing of that log at or after the fork counts.

#include "protocol/event/chain.hpp"

namespace ladderline::protocol {

// What the chain does not imply of one header.
struct ForkLink {
    std::vector<EventId> ctl;
    KeyId key;
    std::uint32_t body_bytes = 0;
    BodyHash body_hash;
    EventSalt salt;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::control_heads_max>(ctl), key, body_bytes, body_hash, salt);
    }
    bool operator==(const ForkLink&) const = default;
};

struct ForkBranch {
    std::vector<ForkLink> links;  // 1 to limits::fork_links_max consecutive events; the first is the fork's
    Signature signature;          // over the id of the last: it covers the others

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::fork_links_max>(links), signature);
    }
    bool operator==(const ForkBranch&) const = default;
};

struct ForkProof {
    LogOpening opening;
    std::uint64_t seq = 0;  // of the first event that is there twice
    EventId prev;           // the event before it; zeros at seq 0
    ForkBranch one;         // the branch whose event at `seq` has the smaller id
    ForkBranch other;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(opening, seq, prev, one, other);
    }
    bool operator==(const ForkProof&) const = default;
};

// The forked log's id.
LogId log_of(const CircleId& circle, const ForkProof& proof);

// Fault::peer if it does not prove a fork of a log of this circle.
Result<void> verify_fork(const CircleId& circle, const ForkProof& proof);

// From the events of two branches, each from the fork on. None if a branch has no valid signature within
// limits::fork_links_max events. Precondition: both begin at one seq, with the same `prev` and different ids.
std::optional<ForkProof> prove_fork(const LogOpening& opening, const std::vector<CheckedEvent>& mine,
                                    const std::vector<CheckedEvent>& theirs);

}  // namespace ladderline::protocol
