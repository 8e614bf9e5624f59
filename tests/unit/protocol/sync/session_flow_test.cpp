// How runs flow: what may be on the way at once, in which order logs go, and what comes as a burst.

#include "tests/support/protocol/session_pair.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::give;
using test::LogWriter;
using test::MemoryLog;
using test::refusal;
using Pair = test::SessionPair;
using World = test::SyncWorld;
using test::EqualSession;

namespace {

// Runs of some 60 KiB that bring nothing new: a log that the session holds, from its start, again and again.
std::vector<RunMessage> heavy_runs(World& w, MemoryLog& held, const EqualSession& session, std::size_t count) {
    const LogWriter log = w.log(15, std::string(4000, 'x'));
    give(held, log);
    const RunMessage message{0, {{session.tag_of(w, log.log()), encode_run_body(log.run())}}};
    return std::vector<RunMessage>(count, message);
}

std::vector<SyncMessage> all_said(Session& session) {
    std::vector<SyncMessage> out;
    while (auto message = session.next_output()) out.push_back(decode_message(*message).value());
    return out;
}

}  // namespace

TEST_CASE("a peer that sends on without waiting to be acknowledged is cut off") {
    World w;
    MemoryLog a;
    EqualSession peer(w, a);
    std::uint64_t taken = 0;
    std::string refused;
    std::size_t message_bytes = 0;
    for (const RunMessage& message : heavy_runs(w, a, peer, 30)) {
        refused = refusal(peer.session, message);
        message_bytes = encode_message(message).size();
        if (!refused.empty()) break;
        taken += message_bytes;
    }
    CHECK(refused == "The peer sends more at once than was agreed.");
    CHECK(taken >= limits::flight_bytes_max);
    CHECK(taken < limits::flight_bytes_max + message_bytes);
}

TEST_CASE("a peer that is acknowledged may go on for ever") {
    World w;
    MemoryLog a;
    EqualSession peer(w, a);
    std::size_t acks = 0;
    for (const RunMessage& message : heavy_runs(w, a, peer, 60)) {
        REQUIRE(refusal(peer.session, message).empty());
        for (const SyncMessage& said : all_said(peer.session)) acks += std::holds_alternative<AckMessage>(said) ? 1 : 0;
    }
    CHECK(acks >= 10);
}

TEST_CASE("since when a peer acknowledges nothing is known to who asks with a clock") {
    World w;
    MemoryLog a;
    MemoryLog empty;
    for (int i = 0; i < 20; ++i) give(a, w.log(15, std::string(4000, 'x')));
    Pair pair(w, empty, a);  // the called side holds everything
    CHECK_FALSE(pair.b.session.unacknowledged_since(MonoTime{1}).has_value());
    while (Pair::send_one(pair.b) || Pair::deliver_one(pair.b, pair.a) || Pair::send_one(pair.a) ||
           Pair::deliver_one(pair.a, pair.b)) {
        if (pair.b.session.in_flight() >= limits::flight_bytes_max) break;
    }
    while (Pair::send_one(pair.b)) {
    }
    REQUIRE(pair.b.session.in_flight() >= limits::flight_bytes_max);
    CHECK(pair.b.session.unacknowledged_since(MonoTime{1000}) == MonoTime{1000});
    CHECK(pair.b.session.unacknowledged_since(MonoTime{5000}) == MonoTime{1000});
    // An acknowledgement begins the waiting anew.
    REQUIRE(pair.b.session.on_message(encode_message(AckMessage{64 * 1024})).has_value());
    CHECK(pair.b.session.unacknowledged_since(MonoTime{6000}) == MonoTime{6000});
    pair.settle(w.random);
    CHECK(pair.a.session.in_step());
    // What is left is less than a peer acknowledges.
    CHECK_FALSE(pair.b.session.unacknowledged_since(MonoTime{9000}).has_value());
}

TEST_CASE("a number that no listed log has ends the session") {
    World w;
    MemoryLog a;
    give(a, w.log(2));
    EqualSession peer(w, a);
    NeedMessage need{0, {{}}, {}, false};
    need.logs[0].number = 1;  // nothing was listed
    CHECK(refusal(peer.session, need) == "The peer asked for what was not named.");
}

TEST_CASE("logs are sent in the order in which they were begun at the sender") {
    class OrderedLog : public MemoryLog {
    public:
        std::vector<LogId> order;
        Result<std::vector<LogId>> oldest_first(const CircleId&) override { return order; }
    };
    World w;
    OrderedLog a;
    for (int i = 0; i < 12; ++i) {
        const LogWriter log = w.log(2);
        give(a, log);
        a.order.push_back(log.log());
    }
    MemoryLog empty;
    EqualSession tags(w, empty);
    Pair pair(w, a, empty);
    std::vector<LogTag> sent;
    while (true) {
        const auto message = pair.a.session.next_output();
        if (message) {
            const auto decoded = decode_message(*message);
            if (const auto* run = std::get_if<RunMessage>(&decoded.value())) {
                for (const RunMessage::Entry& entry : run->runs) sent.push_back(entry.log);
            }
            pair.a.send(*message);
        }
        const bool moved =
            message || Pair::deliver_one(pair.a, pair.b) || Pair::send_one(pair.b) || Pair::deliver_one(pair.b, pair.a);
        if (!moved) break;
    }
    REQUIRE(sent.size() == a.order.size());
    for (std::size_t i = 0; i < sent.size(); ++i) CHECK(sent[i] == tags.tag_of(w, a.order[i]));
}

TEST_CASE("a past comes as a burst that is ended, and news comes as news") {
    class WatchedLog : public MemoryLog {
    public:
        int bursts = 0;
        int news = 0;
        int ended_after = -1;  // bursts when the last end came
        Result<std::vector<Appended>> append_runs(const CircleId& circle, const std::vector<Run>& runs) override {
            ++news;
            return MemoryLog::append_runs(circle, runs);
        }
        Result<std::vector<Appended>> append_burst(const CircleId& circle, const std::vector<Run>& runs) override {
            ++bursts;
            return MemoryLog::append_runs(circle, runs);
        }
        Result<void> end_burst(const CircleId&) override {
            ended_after = bursts;
            return ok();
        }
    };
    World w;
    MemoryLog a;
    WatchedLog b;
    for (int i = 0; i < 8; ++i) give(a, w.log(15, std::string(4000, 'x')));
    Pair pair(w, a, b);
    pair.settle(w.random);
    REQUIRE(pair.b.session.in_step());
    CHECK(b.bursts >= 4);
    CHECK(b.ended_after == b.bursts);
    CHECK(pair.b.session.take_changed() == std::vector{w.circle});
    const int bursts = b.bursts;
    const int news = b.news;
    give(a, w.log(15, std::string(4000, 'x')));
    REQUIRE(pair.a.session.on_local_news(w.circle).has_value());
    pair.settle(w.random);
    CHECK(b.bursts == bursts);
    CHECK(b.news == news + 1);
}

TEST_CASE("what came of a past before the connection ended is told, though the next telling was not due") {
    class CountedLog : public MemoryLog {
    public:
        int bursts = 0;
        Result<std::vector<Appended>> append_burst(const CircleId& circle, const std::vector<Run>& runs) override {
            ++bursts;
            return MemoryLog::append_runs(circle, runs);
        }
    };
    World w;
    MemoryLog a;
    CountedLog b;
    for (int i = 0; i < 8; ++i) give(a, w.log(15, std::string(4000, 'x')));
    Pair pair(w, a, b);
    Session& session = pair.b.session;
    bool moves = true;
    while (b.bursts < 4 && moves) {
        moves = Pair::send_one(pair.a) || Pair::deliver_one(pair.a, pair.b) || Pair::send_one(pair.b) ||
                Pair::deliver_one(pair.b, pair.a);
        session.take_changed();
    }
    REQUIRE(b.bursts == 4);
    REQUIRE(session.end_bursts().has_value());
    CHECK(session.take_changed() == std::vector{w.circle});
}
