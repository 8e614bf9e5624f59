// Two events with one number prove their author a forker, to everybody and in the same form.

#include "protocol/event/fork_proof.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::LogWriter;

namespace {

struct World {
    test::SeededRandom random{61};
    CircleId circle = random.draw<CircleId>();
    AeadKey key = AeadKey::random(random);
    SignKeys device = make_sign_keys(random);
    LogWriter left{circle, device, random};

    LogWriter forked(std::size_t same, std::size_t left_events, std::size_t right_events) {
        for (std::size_t i = 0; i < same; ++i) left.write_note(key, "same");
        LogWriter right = left;
        for (std::size_t i = 0; i < left_events; ++i) left.write_note(key, "left");
        for (std::size_t i = 0; i < right_events; ++i) right.write_note(key, "right");
        return right;
    }
    static std::vector<CheckedEvent> from(const LogWriter& log, std::size_t seq) {
        std::vector<CheckedEvent> out;
        for (std::size_t i = seq; i < log.events().size(); ++i) {
            out.push_back({id_of(log.events()[i].header), log.events()[i]});
        }
        return out;
    }
    std::optional<ForkProof> prove(const LogWriter& right, std::size_t seq) {
        return prove_fork(left.opening(), from(left, seq), from(right, seq));
    }
};

}  // namespace

TEST_CASE("a proof of a fork holds up, whoever makes it, and takes a few hundred bytes") {
    World w;
    const LogWriter right = w.forked(4, 2, 3);
    const auto proof = w.prove(right, 4);
    REQUIRE(proof.has_value());
    CHECK(proof->seq == 4);
    CHECK(log_of(w.circle, *proof) == w.left.log());
    CHECK(verify_fork(w.circle, *proof).has_value());
    CHECK(prove_fork(right.opening(), World::from(right, 4), World::from(w.left, 4)) == proof);
    const Bytes bytes = codec::encode(*proof);
    CHECK(bytes.size() < 600);
    CHECK(codec::decode<ForkProof>(bytes).value() == *proof);
}

TEST_CASE("a fork at the first event of a log is a fork") {
    World w;
    const LogWriter right = w.forked(0, 1, 1);
    CHECK(verify_fork(w.circle, w.prove(right, 0).value()).has_value());
}

TEST_CASE("a fork whose events are signed only further on is proven by what covers them") {
    World w;
    LogWriter right = w.forked(2, 6, 1);
    for (std::size_t seq = 2; seq < 7; ++seq) w.left.spoil_signature(seq);
    const auto proof = w.prove(right, 2);
    REQUIRE(proof.has_value());
    CHECK(proof->one.links.size() + proof->other.links.size() == 7);
    CHECK(verify_fork(w.circle, *proof).has_value());
}

TEST_CASE("a branch without a signature in reach proves nothing") {
    World w;
    LogWriter right = w.forked(2, 3, 1);
    right.spoil_signature(2);
    CHECK_FALSE(w.prove(right, 2).has_value());
}

TEST_CASE("what is no proof is refused") {
    World w;
    const LogWriter right = w.forked(3, 1, 1);
    const ForkProof good = w.prove(right, 3).value();
    const auto refused = [&](const ForkProof& proof) {
        const auto outcome = verify_fork(w.circle, proof);
        return !outcome && outcome.error().fault() == Fault::peer;
    };
    ForkProof bad = good;
    bad.other = bad.one;  // one event, shown twice
    CHECK(refused(bad));
    bad = good;
    std::swap(bad.one, bad.other);  // a second form of the same proof
    CHECK(refused(bad));
    bad = good;
    bad.other.signature.data[7] ^= 1;
    CHECK(refused(bad));
    bad = good;
    bad.other.links[0].salt.data[0] ^= 1;
    CHECK(refused(bad));
    bad = good;
    bad.seq = 2;
    CHECK(refused(bad));
    bad = good;
    bad.prev = {};
    CHECK(refused(bad));
    bad = good;
    bad.one.links.clear();
    CHECK(refused(bad));
    bad = good;
    bad.opening.device = DeviceId{make_sign_keys(w.random).pub.data};
    CHECK(refused(bad));
    bad = good;
    bad.opening.salt.data[0] ^= 1;
    CHECK(refused(bad));
    CHECK_FALSE(verify_fork(w.random.draw<CircleId>(), good).has_value());
}

TEST_CASE("two events in a row are no fork") {
    World w;
    (void)w.forked(3, 2, 1);
    const auto link = [&](std::size_t seq) {
        const EventHeader& h = w.left.events()[seq].header;
        return ForkBranch{{{h.ctl, h.key, h.body_bytes, h.body_hash, h.salt}}, w.left.events()[seq].signature};
    };
    for (const bool turned : {false, true}) {
        ForkProof proof{w.left.opening(), 3, w.left.events()[3].header.prev, link(3), link(4)};
        if (turned) std::swap(proof.one, proof.other);
        CHECK_FALSE(verify_fork(w.circle, proof).has_value());
    }
}

TEST_CASE("two founding events of one opening found two circles and are no fork") {
    World w;
    LogWriter one(w.device, w.random);
    LogWriter other = one;
    one.write_note(w.key, "one");
    other.write_note(w.key, "other");
    const auto proof = prove_fork(one.opening(), World::from(one, 0), World::from(other, 0));
    REQUIRE(proof.has_value());
    CHECK_FALSE(verify_fork(one.circle(), *proof).has_value());
}
