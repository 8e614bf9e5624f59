// A junk signature in the middle of a chain: who checks the head of a run first and who checks every event come to hold
// the same, whatever pieces the events arrive in.

#include "tests/support/protocol/session_pair.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::LogWriter;
using test::MemoryLog;
using test::root_at;
using World = test::SyncWorld;

TEST_CASE("events arriving one by one, in pieces or all at once make the same log, junk signatures or not") {
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        CAPTURE(seed);
        World w(seed);
        LogWriter log = w.log(24);
        for (std::size_t seq = 0; seq + 1 < 24; ++seq) {
            if (w.random.next() % 3 == 0) log.spoil_signature(seq);
        }
        MemoryLog at_once;
        test::give(at_once, log);
        MemoryLog piecewise;
        // Until all is here: a piece of random length from where the node stands. One that no signature covers yet is
        // refused as a whole, and comes again in a longer piece.
        for (std::size_t tries = 0; tries < 1000; ++tries) {
            const std::uint64_t next = piecewise.next_seq(w.circle, log.log()).value();
            if (next == 24) break;
            const std::size_t count = 1 + w.random.next() % (24 - next);
            (void)piecewise.append_run(w.circle, log.run(next, count));
        }
        CHECK(piecewise.next_seq(w.circle, log.log()).value() == 24);
        CHECK(root_at(piecewise, w.circle) == root_at(at_once, w.circle));
    }
}

TEST_CASE("an event without a covering signature is on no node until one comes") {
    World w;
    LogWriter log = w.log(5);
    log.spoil_signature(3);
    log.spoil_signature(4);
    MemoryLog all;
    test::give(all, log);
    MemoryLog single;
    for (std::size_t seq = 0; seq < 5; ++seq) (void)single.append_run(w.circle, log.run(seq, 1));
    CHECK(all.next_seq(w.circle, log.log()).value() == 3);
    CHECK(root_at(all, w.circle) == root_at(single, w.circle));
    log.write_note(w.key, "covers what came before");
    test::give(all, log, 3, 3);
    test::give(single, log, 3, 3);
    CHECK(all.next_seq(w.circle, log.log()).value() == 6);
    CHECK(root_at(all, w.circle) == root_at(single, w.circle));
}
