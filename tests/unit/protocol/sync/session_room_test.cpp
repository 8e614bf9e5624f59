// How many logs a circle takes from others, whatever they come as.

#include "protocol/sync/room.hpp"
#include "tests/support/protocol/made_up_fork.hpp"
#include "tests/support/protocol/session_pair.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EqualSession;
using test::give;
using test::LogWriter;
using test::MemoryLog;
using test::refusal;
using World = test::SyncWorld;

namespace {

RunMessage run_message(const EqualSession& session, const World& w, const LogWriter& log, const Run& run) {
    return {0, {{session.tag_of(w, log.log()), encode_run_body(run)}}};
}

// A circle with so many more logs, made up.
class CrowdedLog : public MemoryLog {
public:
    explicit CrowdedLog(std::size_t others) : others_(others) {}
    Result<std::vector<LogHead>> heads(const CircleId& circle) override {
        TRY(auto out, MemoryLog::heads(circle));
        test::SeededRandom random(3);
        for (std::size_t i = 0; i < others_; ++i) out.push_back({random.draw<LogId>(), 1, random.draw<EventId>()});
        std::sort(out.begin(), out.end(), [](const LogHead& a, const LogHead& b) { return a.log < b.log; });
        return out;
    }
    void crowd(std::size_t others) { others_ = others; }

private:
    std::size_t others_;
};

// The proof that a device which nobody knows forked at the first event of a log.
ForkProof made_up_proof(World& w) {
    const SignKeys device = make_sign_keys(w.random);
    const LogOpening opening{DeviceId::from(device.pub.view()), w.random.draw<LogSalt>(), false};
    return test::made_up_fork(w.circle, device, opening, 0, w.random);
}

}  // namespace

TEST_CASE("the last log that a circle has room for is taken") {
    World w;
    CrowdedLog a(logs_taken_max - 1);
    const LogWriter log = w.log(1);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, run_message(peer, w, log, log.run(0, 1))).empty());
    CHECK(a.next_seq(w.circle, log.log()).value() == 1);
}

TEST_CASE("a circle with as many logs as can be named takes no new one") {
    World w;
    CrowdedLog a(logs_taken_max);
    const LogWriter log = w.log(1);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, run_message(peer, w, log, log.run(0, 1))).empty());
    CHECK(a.next_seq(w.circle, log.log()).value() == 0);
}

TEST_CASE("a circle with as many logs as can be named takes news of those it has") {
    World w;
    CrowdedLog a(logs_taken_max);
    LogWriter log = w.log(2);
    give(a, log, 0, 1);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, run_message(peer, w, log, log.run(1, 1))).empty());
    CHECK(a.next_seq(w.circle, log.log()).value() == 2);
}

TEST_CASE("a log whose fork alone is proven takes the last place that a circle has room for") {
    World w;
    CrowdedLog a(logs_taken_max - 1);
    const ForkProof proof = made_up_proof(w);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, ProofMessage{0, proof}).empty());
    CHECK(a.fork_proof(w.circle, log_of(w.circle, proof)).value().has_value());
}

TEST_CASE("a circle with as many logs as can be named takes no proof of the fork of a new one") {
    World w;
    CrowdedLog a(logs_taken_max);
    const ForkProof proof = made_up_proof(w);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, ProofMessage{0, proof}).empty());
    CHECK_FALSE(a.fork_proof(w.circle, log_of(w.circle, proof)).value().has_value());
}

TEST_CASE("a circle with as many logs as can be named takes the proof of a fork of one it has") {
    World w;
    CrowdedLog a(logs_taken_max);
    LogWriter left = w.log(1);
    LogWriter right = left;
    left.write_note(w.key, "left");
    right.write_note(w.key, "right");
    give(a, left);
    MemoryLog b;
    give(b, left);
    REQUIRE(b.append_run(w.circle, right.run()).value() == Appended::forked);
    EqualSession peer(w, a);
    const ForkProof proof = b.fork_proof(w.circle, left.log()).value().value();
    REQUIRE(refusal(peer.session, ProofMessage{0, proof}).empty());
    CHECK(a.fork_proof(w.circle, left.log()).value().has_value());
}

TEST_CASE("a circle with as many logs as can be named takes the beginning of one that it knows to fork") {
    World w;
    CrowdedLog a(logs_taken_max);
    LogWriter left = w.log(1);
    LogWriter right = left;
    left.write_note(w.key, "left");
    right.write_note(w.key, "right");
    MemoryLog b;
    give(b, left);
    REQUIRE(b.append_run(w.circle, right.run()).value() == Appended::forked);
    REQUIRE(a.append_fork_proof(w.circle, b.fork_proof(w.circle, left.log()).value().value()).value());
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, run_message(peer, w, left, left.run(0, 1))).empty());
    CHECK(a.next_seq(w.circle, left.log()).value() == 1);
}

TEST_CASE("logs that other sessions began count when a circle is asked for room") {
    World w;
    CrowdedLog a(10);
    const LogWriter first = w.log(1);
    const LogWriter second = w.log(1);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, run_message(peer, w, first, first.run(0, 1))).empty());
    a.crowd(logs_taken_max);
    REQUIRE(refusal(peer.session, run_message(peer, w, second, second.run(0, 1))).empty());
    CHECK(a.next_seq(w.circle, first.log()).value() == 1);
    CHECK(a.next_seq(w.circle, second.log()).value() == 0);
}

TEST_CASE("a circle without room is not counted anew for each new log that a peer names") {
    World w;
    CrowdedLog a(logs_taken_max);
    EqualSession peer(w, a);
    const LogWriter first = w.log(1);
    REQUIRE(refusal(peer.session, run_message(peer, w, first, first.run(0, 1))).empty());
    const std::size_t reads = a.reads;
    REQUIRE(refusal(peer.session, ProofMessage{0, made_up_proof(w)}).empty());
    CHECK(a.reads == reads);
}
