#pragma once
// The proof of a fork at any place of a log, whether or not there is such a log: it is genuine, since its device signed
// both sides.

#include <utility>

#include "protocol/event/fork_proof.hpp"

namespace ladderline::test {

inline protocol::ForkProof made_up_fork(const protocol::CircleId& circle, const protocol::SignKeys& device,
                                        const protocol::LogOpening& opening, std::uint64_t seq, Random& random) {
    using namespace protocol;
    ForkProof proof;
    proof.opening = opening;
    proof.seq = seq;
    if (seq > 0) proof.prev = random.draw<EventId>();
    const auto side = [&] {
        EventHeader header;
        header.circle = header_circle(circle, opening, seq);
        header.log = log_of(circle, proof);
        header.seq = seq;
        header.prev = proof.prev;
        header.key = random.draw<KeyId>();
        header.body_hash = random.draw<BodyHash>();
        header.salt = random.draw<EventSalt>();
        const EventId id = id_of(header);
        const ForkLink link{{}, header.key, header.body_bytes, header.body_hash, header.salt};
        return std::pair(id, ForkBranch{{link}, sign(id.view(), device.secret)});
    };
    auto one = side();
    auto other = side();
    if (other.first < one.first) std::swap(one, other);
    proof.one = std::move(one.second);
    proof.other = std::move(other.second);
    return proof;
}

}  // namespace ladderline::test
