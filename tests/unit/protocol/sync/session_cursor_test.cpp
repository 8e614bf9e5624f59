// Cursors: what two stores had in common last time, and what happens when that is not so.

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

// Two nodes that hold the same 40 logs and have met once.
struct Met {
    World w;
    MemoryLog a;
    MemoryLog b;
    std::vector<LogWriter> logs;

    Met() {
        a.instance.data[0] = 1;
        b.instance.data[0] = 2;
        for (int i = 0; i < 40; ++i) {
            logs.push_back(w.log(2));
            give(a, logs.back());
            give(b, logs.back());
        }
        meet();
        REQUIRE(a.cursors.size() == 1);
        REQUIRE(b.cursors.size() == 1);
    }
    void write(MemoryLog& at, std::size_t log) {
        logs[log].write_note(w.key, "later");
        give(at, logs[log], logs[log].events().size() - 1, 1);
    }
    struct Outcome {
        std::size_t bytes;
        std::size_t mismatches;
    };
    Outcome meet() {
        Pair pair(w, a, b);
        pair.settle(w.random);
        CHECK(pair.a.session.in_step());
        CHECK(pair.b.session.in_step());
        CHECK(root_at(a, w.circle) == root_at(b, w.circle));
        return {pair.a.bytes + pair.b.bytes, pair.a.session.mismatches() + pair.b.session.mismatches()};
    }
};

}  // namespace

TEST_CASE("two that met before name only what changed since") {
    Met m;
    m.write(m.a, 3);
    m.write(m.b, 5);
    const auto warm = m.meet();
    CHECK(warm.mismatches == 0);
    m.write(m.a, 3);
    m.write(m.b, 5);
    m.a.cursors.clear();
    CHECK(m.meet().bytes > warm.bytes + 200);
}

TEST_CASE("what both got from a third since they met is not sent again") {
    Met m;
    for (std::size_t i = 0; i < 10; ++i) {
        m.logs[i].write_note(m.w.key, std::string(500, 'x'));
        give(m.a, m.logs[i], 2, 1);
        give(m.b, m.logs[i], 2, 1);
    }
    m.write(m.b, 20);
    const auto outcome = m.meet();
    CHECK(outcome.mismatches == 0);
    CHECK(outcome.bytes < 1000);
}

TEST_CASE("a new log, a new fork and a longer log on both sides come through with a cursor") {
    Met m;
    const LogWriter fresh = m.w.log(3);
    give(m.a, fresh);
    const LogWriter other = m.w.log(3);
    give(m.b, other);
    LogWriter right = m.logs[7];
    right.write_note(m.w.key, "right");
    m.write(m.a, 7);
    give(m.b, right, 2, 1);
    m.write(m.a, 8);
    m.logs[8].write_note(m.w.key, "further");
    give(m.b, m.logs[8], 2, 2);
    CHECK(m.meet().mismatches == 0);
    CHECK(m.a.fork_proof(m.w.circle, right.log()).value()->seq == 2);
    CHECK(m.b.next_seq(m.w.circle, m.logs[8].log()).value() == 4);
}

TEST_CASE("a cursor of another instance, or from the future, is not used") {
    for (const bool other_instance : {true, false}) {
        Met m;
        m.write(m.b, 5);
        if (other_instance) {
            m.b.instance.data[0] = 9;
        } else {
            m.a.cursors.begin()->second.peer_arrivals += 1000;
        }
        CHECK(m.meet().mismatches == 0);
        CHECK(m.b.next_seq(m.w.circle, m.logs[5].log()).value() == 3);
    }
}

TEST_CASE("a cursor that claims too much is found by the roots, counted, and healed by the tree") {
    Met m;
    m.write(m.b, 5);
    m.write(m.a, 6);
    m.a.cursors.begin()->second.peer_arrivals += 1;  // as if the event of log 5 had been taken in
    CHECK(m.meet().mismatches >= 1);
    CHECK(m.a.next_seq(m.w.circle, m.logs[5].log()).value() == 3);
    m.write(m.b, 5);
    CHECK(m.meet().mismatches == 0);
}

TEST_CASE("a side that cannot tell what changed asks for the tree") {
    Met m;
    m.write(m.b, 5);
    MemoryLog plain = m.b;
    plain.instance = {};
    Session called(plain, Session::Side::called, {m.w.circle}, m.w.binding, as_bytes("a"));
    REQUIRE(called.begin().has_value());
    REQUIRE(called.next_output().has_value());
    REQUIRE(called.on_message(encode_message(AnswerMessage{{}, 0, {HelloAnswer::cursor}})).has_value());
    REQUIRE(called.on_message(encode_message(ChangesMessage{0, 0, {}})).has_value());
    CHECK(std::holds_alternative<AgainMessage>(decode_message(called.next_output().value()).value()));
}

TEST_CASE("a cursor is kept only when the roots were equal") {
    World w;
    MemoryLog a;
    MemoryLog b;
    a.instance.data[0] = 1;
    b.instance.data[0] = 2;
    give(a, w.log(3));
    b.lose_next = 1000;
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK(a.cursors.empty());
    CHECK(b.cursors.empty());
}
