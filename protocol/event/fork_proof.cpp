#include "protocol/event/fork_proof.hpp"

#include <algorithm>

namespace ladderline::protocol {
namespace {

const Error no_proof{Fault::peer, "What came as the proof of a fork proves none."};

// Ids of the branch's first and last event.
struct Ends {
    EventId first;
    EventId last;
};

Ends ends_of(const CircleId& circle, const ForkProof& proof, const ForkBranch& branch) {
    Ends out;
    EventHeader header;
    header.log = log_of(circle, proof);
    header.prev = proof.prev;
    for (std::size_t i = 0; i < branch.links.size(); ++i) {
        const ForkLink& link = branch.links[i];
        header.seq = proof.seq + i;
        header.circle = header_circle(circle, proof.opening, header.seq);
        header.ctl = link.ctl;
        header.key = link.key;
        header.body_bytes = link.body_bytes;
        header.body_hash = link.body_hash;
        header.salt = link.salt;
        out.last = header.prev = id_of(header);
        if (i == 0) out.first = out.last;
    }
    return out;
}

std::optional<ForkBranch> branch_of(const LogOpening& opening, const std::vector<CheckedEvent>& events) {
    ForkBranch out;
    for (const CheckedEvent& e : events) {
        if (out.links.size() == limits::fork_links_max) break;
        const EventHeader& h = e.event.header;
        out.links.push_back({h.ctl, h.key, h.body_bytes, h.body_hash, h.salt});
        if (!verify(e.id.view(), e.event.signature, signing_key(opening.device))) continue;
        out.signature = e.event.signature;
        return out;
    }
    return std::nullopt;
}

}  // namespace

LogId log_of(const CircleId& circle, const ForkProof& proof) {
    return log_id_of(proof.opening.founding ? CircleId{} : circle, proof.opening);
}

Result<void> verify_fork(const CircleId& circle, const ForkProof& proof) {
    // Event 0 of a founding log names the circle: another one would found another circle.
    if (proof.opening.founding && proof.seq == 0) return no_proof;
    if (proof.one.links.empty() || proof.other.links.empty()) return no_proof;
    if ((proof.seq == 0) != proof.prev.is_zero() || proof.seq > limits::seq_max) return no_proof;
    const Ends one = ends_of(circle, proof, proof.one);
    const Ends other = ends_of(circle, proof, proof.other);
    if (one.first >= other.first) return no_proof;  // the same event, or a second form of one proof
    const SignPublic device = signing_key(proof.opening.device);
    if (!verify(one.last.view(), proof.one.signature, device)) return no_proof;
    if (!verify(other.last.view(), proof.other.signature, device)) return no_proof;
    return ok();
}

std::optional<ForkProof> prove_fork(const LogOpening& opening, const std::vector<CheckedEvent>& mine,
                                    const std::vector<CheckedEvent>& theirs) {
    ENSURE(!mine.empty() && !theirs.empty() && mine.front().id != theirs.front().id);
    ENSURE(mine.front().event.header.seq == theirs.front().event.header.seq);
    ENSURE(mine.front().event.header.prev == theirs.front().event.header.prev);
    auto one = branch_of(opening, mine);
    auto other = branch_of(opening, theirs);
    if (!one || !other) return std::nullopt;
    if (mine.front().id > theirs.front().id) std::swap(one, other);
    const EventHeader& first = mine.front().event.header;
    return ForkProof{opening, first.seq, first.prev, std::move(*one), std::move(*other)};
}

}  // namespace ladderline::protocol
