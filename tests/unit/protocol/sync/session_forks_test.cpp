// What a session does with logs that forked: the proof goes to both sides, and they are in step again.

#include "tests/support/protocol/made_up_fork.hpp"
#include "tests/support/protocol/session_pair.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::give;
using test::LogWriter;
using test::MemoryLog;
using test::root_at;
using Pair = test::SessionPair;
using World = test::SyncWorld;

namespace {

// A log whose first events bear no signature that fits; the first that does stands beyond the fork.
LogWriter unsigned_before_fork(World& w, std::size_t before) {
    LogWriter log = w.log(before);
    for (std::size_t seq = 0; seq < before; ++seq) log.spoil_signature(seq);
    return log;
}

// Whoever meets `first` comes in step with it, and passes the same on.
void check_passed_on(World& w, MemoryLog& first, const LogWriter& log, std::size_t before) {
    std::vector<MemoryLog> further(3);
    const LogWriter other = w.log(2);
    give(first, other);
    for (std::size_t i = 0; i < further.size(); ++i) {
        Pair pair(w, i == 0 ? first : further[i - 1], further[i]);
        pair.settle(w.random);
        CHECK(pair.a.session.in_step());
        CHECK(pair.b.session.in_step());
        CHECK(further[i].next_seq(w.circle, log.log()).value() == before);
        CHECK(further[i].next_seq(w.circle, other.log()).value() == 2);
    }
}

}  // namespace

TEST_CASE("a log that forked between two honest peers is proven so, and both hold the same afterwards") {
    for (std::uint64_t seed = 0; seed < 60; ++seed) {
        CAPTURE(seed);
        World w(seed);
        MemoryLog a;
        MemoryLog b;
        // One device copied: the same events, then each goes its own way.
        const std::size_t same = seed % 7;
        LogWriter left = w.log(same);
        LogWriter right = left;
        for (std::size_t i = 0; i < 1 + seed % 3; ++i) left.write_note(w.key, "left");
        for (std::size_t i = 0; i < 1 + seed % 5; ++i) right.write_note(w.key, "right");
        give(a, left);
        give(b, right);
        std::vector<LogWriter> others;
        for (int i = 0; i < 6; ++i) {
            others.push_back(w.log(2));
            give(i % 2 == 0 ? a : b, others.back());
        }
        Pair pair(w, a, b);
        pair.settle(w.random);
        for (const LogWriter& other : others) {
            CHECK(a.next_seq(w.circle, other.log()).value() == 2);
            CHECK(b.next_seq(w.circle, other.log()).value() == 2);
        }
        CHECK(pair.a.session.in_step());
        CHECK(pair.b.session.in_step());
        CHECK(pair.a.session.mismatches() + pair.b.session.mismatches() == 0);
        REQUIRE(a.fork_proof(w.circle, left.log()).value().has_value());
        CHECK(a.fork_proof(w.circle, left.log()).value()->seq == same);
        CHECK(a.fork_proof(w.circle, left.log()).value() == b.fork_proof(w.circle, left.log()).value());
        CHECK(a.next_seq(w.circle, left.log()).value() == same);
        CHECK(b.next_seq(w.circle, left.log()).value() == same);
        CHECK_FALSE(pair.a.session.take_changed().empty());
    }
}

TEST_CASE("a fork deep in two long logs is found without sending them") {
    World w;
    MemoryLog a;
    MemoryLog b;
    LogWriter left = w.log(400);
    LogWriter right = left;
    for (int i = 0; i < 30; ++i) left.write_note(w.key, "left");
    for (int i = 0; i < 25; ++i) right.write_note(w.key, "right");
    give(a, left);
    give(b, right);
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK(pair.a.session.in_step());
    CHECK(a.fork_proof(w.circle, left.log()).value()->seq == 400);
    CHECK(pair.a.bytes + pair.b.bytes < 12'000);
}

TEST_CASE("a fork is known to whoever meets one that knows it, with whatever branch") {
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        CAPTURE(seed);
        World w(seed);
        std::vector<MemoryLog> nodes(5);
        LogWriter left = w.log(6);
        LogWriter right = left;
        left.write_note(w.key, "left");
        right.write_note(w.key, "right");
        give(nodes[0], left);
        give(nodes[1], right);
        give(nodes[2], left, 0, 3);
        for (std::size_t i = 0; i < 4; ++i) left.write_note(w.key, "further");
        give(nodes[3], left);
        // Two rounds with node 0 in the middle carry everything everywhere.
        for (int round = 0; round < 2; ++round) {
            for (std::size_t i = 1; i < nodes.size(); ++i) {
                const std::size_t other = 1 + (i + seed) % (nodes.size() - 1);
                Pair pair(w, nodes[0], nodes[other]);
                pair.settle(w.random);
                REQUIRE(pair.a.session.in_step());
                REQUIRE(pair.a.session.mismatches() + pair.b.session.mismatches() == 0);
            }
        }
        for (MemoryLog& node : nodes) {
            CHECK(root_at(node, w.circle) == root_at(nodes[0], w.circle));
            CHECK(node.next_seq(w.circle, left.log()).value() == 6);
        }
    }
}

TEST_CASE("of two forks of one log the earlier one decides everywhere") {
    World w;
    MemoryLog a;
    MemoryLog b;
    LogWriter first = w.log(2);
    LogWriter stem = first;
    first.write_note(w.key, "early branch");
    for (int i = 0; i < 3; ++i) stem.write_note(w.key, "stem");
    LogWriter second = stem;
    stem.write_note(w.key, "late left");
    second.write_note(w.key, "late right");
    MemoryLog c;
    give(a, stem);
    give(b, second);
    give(c, first);
    {
        Pair pair(w, a, b);
        pair.settle(w.random);
        CHECK(a.next_seq(w.circle, stem.log()).value() == 5);
    }
    {
        Pair pair(w, c, b);
        pair.settle(w.random);
        CHECK(pair.a.session.in_step());
    }
    {
        Pair pair(w, a, b);
        pair.settle(w.random);
        CHECK(pair.a.session.in_step());
    }
    CHECK(a.next_seq(w.circle, stem.log()).value() == 2);
    CHECK(root_at(a, w.circle) == root_at(c, w.circle));
}

TEST_CASE("a fork is proven wherever it lies in a stretch that one signature stands over") {
    for (const std::size_t at : {std::size_t{2}, std::size_t{100}, limits::fork_links_max}) {
        CAPTURE(at);
        World w;
        MemoryLog a;
        MemoryLog b;
        LogWriter left = w.log(at);
        LogWriter right = left;
        while (left.events().size() < limits::fork_links_max + 1) left.write_note(w.key, "left");
        while (right.events().size() < limits::fork_links_max + 1) right.write_note(w.key, "right");
        for (std::size_t i = 1; i < limits::fork_links_max; ++i) left.spoil_signature(i);
        for (std::size_t i = 1; i < limits::fork_links_max; ++i) right.spoil_signature(i);
        give(a, left);
        give(b, right);
        Pair pair(w, a, b);
        pair.settle(w.random);
        CHECK(pair.a.session.in_step());
        CHECK(a.next_seq(w.circle, left.log()).value() == at);
        CHECK(b.next_seq(w.circle, left.log()).value() == at);
    }
}

TEST_CASE("what stands before a fork is passed on, although the signature over it stands beyond the fork") {
    for (const std::size_t before : {std::size_t{1}, std::size_t{70}, limits::fork_links_max - 1}) {
        CAPTURE(before);
        World w;
        MemoryLog a;
        MemoryLog b;
        LogWriter left = unsigned_before_fork(w, before);
        LogWriter right = left;
        left.write_note(w.key, "left");
        right.write_note(w.key, "right");
        for (int i = 0; i < 3; ++i) left.write_note(w.key, "further");
        give(a, left);
        give(b, right);
        Pair(w, a, b).settle(w.random);
        REQUIRE(a.fork_proof(w.circle, left.log()).value()->seq == before);
        check_passed_on(w, a, left, before);
        check_passed_on(w, b, left, before);
    }
}

TEST_CASE("what stands before a fork is passed on, whatever the proof names as the event before it") {
    World w;
    MemoryLog a;
    MemoryLog late;
    const SignKeys device = make_sign_keys(w.random);
    LogWriter log(w.circle, device, w.random);
    for (int i = 0; i < 3; ++i) log.write_note(w.key, "note");
    for (const std::size_t seq : {0, 1}) log.spoil_signature(seq);
    const ForkProof proof = test::made_up_fork(w.circle, device, log.opening(), 2, w.random);
    give(a, log);
    REQUIRE(a.append_fork_proof(w.circle, proof).value());
    check_passed_on(w, a, log, 2);
    // The proof may be there before the log.
    REQUIRE(late.append_fork_proof(w.circle, proof).value());
    give(late, log);
    check_passed_on(w, late, log, 2);
}

TEST_CASE("nodes that keep different branches beyond a fork agree on what stands before it") {
    World w;
    MemoryLog a;
    MemoryLog b;
    LogWriter left = unsigned_before_fork(w, 2);
    LogWriter right = left;
    left.write_note(w.key, "left");
    right.write_note(w.key, "right");
    give(a, left);
    give(b, right);
    Pair(w, a, b).settle(w.random);
    // Both say it all to a third one, and again to one another, as news.
    MemoryLog c;
    Pair(w, a, c).settle(w.random);
    Pair(w, b, c).settle(w.random);
    CHECK(c.append_run(w.circle, left.run()).value() == Appended::known);
    CHECK(c.append_run(w.circle, right.run()).value() == Appended::known);
    CHECK(root_at(a, w.circle) == root_at(c, w.circle));
    CHECK(root_at(b, w.circle) == root_at(c, w.circle));
}

TEST_CASE("a log whose signatures an older version did not keep stays behind, and everything else goes on") {
    World w;
    MemoryLog whole;
    MemoryLog a;
    const SignKeys device = make_sign_keys(w.random);
    LogWriter log(w.circle, device, w.random);
    for (int i = 0; i < 2; ++i) log.write_note(w.key, "note");
    log.spoil_signature(0);
    give(whole, log);
    a.copy_events(whole, w.circle, log.log(), 1);
    REQUIRE(a.append_fork_proof(w.circle, test::made_up_fork(w.circle, device, log.opening(), 1, w.random)).value());
    const LogWriter other = w.log(2);
    give(a, other);
    MemoryLog b;
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK(b.next_seq(w.circle, other.log()).value() == 2);
    // Somebody who has the whole log mends it.
    Pair(w, whole, b).settle(w.random);
    Pair again(w, a, b);
    again.settle(w.random);
    CHECK(again.a.session.in_step());
}

TEST_CASE("a log that forks while the session is open does not end it") {
    World w;
    MemoryLog a;
    MemoryLog b;
    LogWriter left = w.log(3);
    give(a, left);
    give(b, left);
    LogWriter right = left;
    Pair pair(w, a, b);
    pair.settle(w.random);
    for (int i = 0; i < 3; ++i) {
        left.write_note(w.key, "left");
        right.write_note(w.key, "right");
        REQUIRE(a.append_run(w.circle, left.run(3 + i, 1)).has_value());
        REQUIRE(b.append_run(w.circle, right.run(3 + i, 1)).has_value());
        REQUIRE(pair.a.session.on_local_news(w.circle).has_value());
        REQUIRE(pair.b.session.on_local_news(w.circle).has_value());
        if (i == 1) pair.settle(w.random);
    }
    pair.settle(w.random);
    const LogWriter other = w.log(1);
    give(a, other);
    REQUIRE(pair.a.session.on_local_news(w.circle).has_value());
    pair.settle(w.random);
    CHECK(b.next_seq(w.circle, other.log()).value() == 1);
    CHECK(root_at(a, w.circle) == root_at(b, w.circle));
    CHECK(b.next_seq(w.circle, left.log()).value() == 3);
}

// The old copy has the same instance, so that both believe the place up to which they were in step.
TEST_CASE("a store that was put back to an old copy without noticing goes on, and its log is proven forked") {
    for (std::uint64_t written = 1; written < 5; ++written) {
        CAPTURE(written);
        World w;
        MemoryLog a;
        MemoryLog b;
        LogWriter left = w.log(4);
        LogWriter right = left;
        give(a, left);
        Pair(w, a, b).settle(w.random);
        const MemoryLog old_copy = a;
        left.write_note(w.key, "left");
        give(a, left);
        Pair(w, a, b).settle(w.random);
        a = old_copy;
        for (std::uint64_t i = 0; i < written; ++i) right.write_note(w.key, "right");
        give(a, right);
        Pair pair(w, a, b);
        pair.settle(w.random);
        CHECK(pair.a.session.in_step());
        CHECK(pair.b.session.in_step());
        CHECK(a.next_seq(w.circle, left.log()).value() == 4);
        CHECK(b.next_seq(w.circle, left.log()).value() == 4);
    }
}

TEST_CASE("made-up runs of one log are asked about once, then they end the session") {
    World w;
    MemoryLog log;
    const LogWriter known = w.log(3);
    give(log, known);
    test::EqualSession equal(w, log);
    LogWriter other = known;
    other.write_note(w.key, "elsewhere");
    Run run = other.run(3, 1);
    run.events[0].signature = {};
    const RunMessage message{0, {{equal.tag_of(w, known.log()), encode_run_body(run)}}};
    CHECK(test::refusal(equal.session, message).empty());
    CHECK(test::refusal(equal.session, message) == "A run of events carries no valid signature.");
}
