// Two honest peers come to hold the same events, whatever happens meanwhile.

#include "tests/support/protocol/session_pair.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::give;
using test::LogWriter;
using test::MemoryLog;
using test::refusal;
using test::root_at;
using Pair = test::SessionPair;
using Side = test::SessionSide;
using World = test::SyncWorld;

TEST_CASE("equal logs are known to be equal after one message each way") {
    World w;
    MemoryLog a;
    MemoryLog b;
    for (int i = 0; i < 20; ++i) {
        const LogWriter log = w.log(5);
        give(a, log);
        give(b, log);
    }
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK(pair.a.session.in_step());
    CHECK(pair.b.session.in_step());
    CHECK(pair.a.messages == 1);
    CHECK(pair.b.messages == 1);
    CHECK(pair.b.bytes == 1 + 4 + 1 + 1 + 8 + 32);  // type, instance, arrivals, count, tag, root
    CHECK(pair.a.bytes == 1 + 4 + 1 + 1 + 1);       // type, instance, arrivals, count, equal
    CHECK(pair.a.session.take_changed().empty());
}

TEST_CASE("logs that differ both ways are equal afterwards, in whatever order messages pass") {
    for (std::uint64_t seed = 0; seed < 30; ++seed) {
        CAPTURE(seed);
        World w(seed);
        MemoryLog a;
        MemoryLog b;
        for (int i = 0; i < 6; ++i) {
            const LogWriter log = w.log(10);
            const std::size_t at_a = w.random.next() % 11;
            const std::size_t at_b = w.random.next() % 11;
            if (at_a > 0) give(a, log, 0, at_a);
            if (at_b > 0) give(b, log, 0, at_b);
        }
        Pair pair(w, a, b);
        pair.settle(w.random);
        CHECK(pair.a.session.in_step());
        CHECK(pair.b.session.in_step());
        CHECK(pair.a.session.mismatches() == 0);
        CHECK(pair.b.session.mismatches() == 0);
        CHECK(root_at(a, w.circle) == root_at(b, w.circle));
    }
}

TEST_CASE("what differs is sent once: hello, answer and tree, runs, done, same") {
    World w;
    MemoryLog a;
    MemoryLog b;
    for (int i = 0; i < 8; ++i) {
        const LogWriter log = w.log(12);
        give(b, log);
        give(a, log, 0, i < 3 ? 7 : 12);
    }
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK(pair.b.messages == 1 + 1 + 1);  // hello, all runs in one message, done
    CHECK(pair.a.messages == 1 + 1 + 1);  // answer, tree, same
    CHECK(pair.a.session.take_changed() == std::vector{w.circle});
    CHECK(pair.a.session.take_changed().empty());
    CHECK(pair.b.session.take_changed().empty());
}

TEST_CASE("news reaches the peer while the session is open") {
    World w;
    MemoryLog a;
    MemoryLog b;
    LogWriter log = w.log(1);
    give(a, log);
    give(b, log);
    Pair pair(w, a, b);
    pair.settle(w.random);
    log.write_note(w.key, "news");
    give(a, log, 1, 1);
    REQUIRE(pair.a.session.on_local_news(w.circle).has_value());
    pair.settle(w.random);
    CHECK(b.next_seq(w.circle, log.log()).value() == 2);
    CHECK(pair.a.messages == 2);
    CHECK(pair.b.messages == 1);
    CHECK(pair.b.session.take_changed() == std::vector{w.circle});
}

TEST_CASE("news is not sent back to whom it came from") {
    World w;
    MemoryLog a;
    MemoryLog b;
    LogWriter log = w.log(1);
    give(a, log);
    give(b, log);
    Pair pair(w, a, b);
    pair.settle(w.random);
    log.write_note(w.key, "news");
    give(a, log, 1, 1);
    REQUIRE(pair.a.session.on_local_news(w.circle).has_value());
    pair.settle(w.random);
    REQUIRE(pair.b.session.on_local_news(w.circle).has_value());
    pair.settle(w.random);
    CHECK(pair.b.messages == 1);
}

TEST_CASE("news while the logs are compared is neither lost nor counted as a fault") {
    for (std::uint64_t seed = 0; seed < 60; ++seed) {
        CAPTURE(seed);
        World w(seed);
        MemoryLog a;
        MemoryLog b;
        LogWriter log_a = w.log(3);
        LogWriter log_b = w.log(3);
        give(a, log_a);
        give(b, log_b);
        Pair pair(w, a, b);
        const auto news = [&](MemoryLog& at, Side& side, LogWriter& log) {
            log.write_note(w.key, "news");
            give(at, log, log.events().size() - 1, 1);
            REQUIRE(side.session.on_local_news(w.circle).has_value());
        };
        for (int step = 0; step < 60; ++step) {
            switch (w.random.next() % 6) {
                case 0:
                    Pair::send_one(pair.a);
                    break;
                case 1:
                    Pair::send_one(pair.b);
                    break;
                case 2:
                    Pair::deliver_one(pair.a, pair.b);
                    break;
                case 3:
                    Pair::deliver_one(pair.b, pair.a);
                    break;
                case 4:
                    if (w.random.next() % 4 == 0) news(a, pair.a, log_a);
                    break;
                default:
                    if (w.random.next() % 4 == 0) news(b, pair.b, log_b);
                    break;
            }
        }
        pair.settle(w.random);
        CHECK(root_at(a, w.circle) == root_at(b, w.circle));
        CHECK(pair.a.session.mismatches() + pair.b.session.mismatches() == 0);
    }
}

TEST_CASE("a root that does not fit is counted, and another round repairs it") {
    World w;
    MemoryLog a;
    MemoryLog b;
    give(a, w.log(3));
    b.lose_next = 1;
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK(pair.a.session.mismatches() + pair.b.session.mismatches() >= 1);
    CHECK(root_at(a, w.circle) == root_at(b, w.circle));
    CHECK(pair.a.session.in_step());
    CHECK(pair.b.session.in_step());
}

TEST_CASE("a store that keeps losing what it was given is given up on for this session") {
    World w;
    MemoryLog a;
    MemoryLog b;
    give(a, w.log(3));
    b.lose_next = 1000;
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK_FALSE(pair.a.session.in_step());
    CHECK(pair.a.session.mismatches() + pair.b.session.mismatches() >= 4);
    CHECK(pair.a.messages < 30);
}

TEST_CASE("a few nodes that meet two by two come to hold the same") {
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        CAPTURE(seed);
        World w(seed);
        const std::size_t nodes = 3 + seed % 3;
        std::vector<MemoryLog> logs(nodes);
        std::vector<LogWriter> writers;
        writers.reserve(nodes);
        for (std::size_t i = 0; i < nodes; ++i) writers.push_back(w.log());
        const auto write = [&](std::size_t i) {
            writers[i].write_note(w.key, "note");
            give(logs[i], writers[i], writers[i].events().size() - 1, 1);
        };
        const auto meet = [&](std::size_t i, std::size_t j) {
            Pair pair(w, logs[i], logs[j]);
            if (w.random.next() % 2 == 0) {
                for (std::uint64_t steps = w.random.next() % 12; steps > 0; --steps) {  // and the cable is cut
                    Pair::send_one(pair.a);
                    Pair::send_one(pair.b);
                    Pair::deliver_one(pair.a, pair.b);
                    Pair::deliver_one(pair.b, pair.a);
                }
                return;
            }
            pair.settle(w.random);
            REQUIRE(root_at(logs[i], w.circle) == root_at(logs[j], w.circle));
        };
        for (int step = 0; step < 30; ++step) {
            const std::size_t i = w.random.next() % nodes;
            const std::size_t j = (i + 1 + w.random.next() % (nodes - 1)) % nodes;
            if (w.random.next() % 2 == 0) {
                write(i);
            } else {
                meet(i, j);
            }
        }
        for (int round = 0; round < 2; ++round) {
            for (std::size_t i = 1; i < nodes; ++i) {
                Pair pair(w, logs[0], logs[i]);
                pair.settle(w.random);
            }
        }
        std::size_t written = 0;
        for (const LogWriter& writer : writers) written += writer.events().size();
        for (MemoryLog& log : logs) {
            CHECK(log.event_count(w.circle) == written);
            CHECK(root_at(log, w.circle) == root_at(logs[0], w.circle));
        }
    }
}
