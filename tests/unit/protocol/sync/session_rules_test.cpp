// What a session takes and refuses, and what a peer cannot make it do.

#include "tests/support/protocol/session_pair.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::give;
using test::LogWriter;
using test::MemoryLog;
using test::refusal;
using Pair = test::SessionPair;
using World = test::SyncWorld;

TEST_CASE("a run that begins past what is here is answered with the place to begin at") {
    World w;
    MemoryLog a;
    LogWriter log = w.log(5);
    give(a, log, 0, 2);
    Session session(a, {w.circle}, w.binding);
    const Bytes hello = session.hello().value();
    REQUIRE(session.on_message(hello).has_value());  // a peer with the same root
    const CircleTag tag = std::get<HelloMessage>(decode_message(hello).value()).circles.at(0).tag;
    REQUIRE(refusal(session, RunMessage{tag, encode_run(log.run(4, 1))}).empty());
    const auto answer = decode_message(session.next_output().value());
    const auto& need = std::get<NeedMessage>(answer.value());
    CHECK(need.log == log.log());
    CHECK(need.next_seq == 2);
    // The same gap again asks nothing new.
    REQUIRE(refusal(session, RunMessage{tag, encode_run(log.run(3, 2))}).empty());
    CHECK_FALSE(session.next_output().has_value());
    REQUIRE(refusal(session, RunMessage{tag, encode_run(log.run(2, 3))}).empty());
    CHECK(a.next_seq(w.circle, log.log()).value() == 5);
}

TEST_CASE("who is asked from a place sends from that place") {
    World w;
    MemoryLog a;
    LogWriter log = w.log(5);
    give(a, log);
    Session session(a, {w.circle}, w.binding);
    const Bytes hello = session.hello().value();
    REQUIRE(session.on_message(hello).has_value());
    const CircleTag tag = std::get<HelloMessage>(decode_message(hello).value()).circles.at(0).tag;
    REQUIRE(refusal(session, NeedMessage{tag, log.log(), 3}).empty());
    const auto message = decode_message(session.next_output().value());
    const auto run = decode_run(std::get<RunMessage>(message.value()).run);
    CHECK(run.value().first_seq == 3);
    CHECK(run.value().events.size() == 2);
    CHECK_FALSE(session.next_output().has_value());
    REQUIRE(refusal(session, NeedMessage{tag, log.log(), 5}).empty());
    REQUIRE(refusal(session, NeedMessage{tag, w.random.draw<LogId>(), 0}).empty());
    CHECK_FALSE(session.next_output().has_value());
}

TEST_CASE("nothing of a circle that the two do not share is taken or told") {
    World w;
    MemoryLog a;
    const LogWriter log = w.log(2);
    give(a, log);
    const CircleId other = w.random.draw<CircleId>();
    Session peer(a, {other}, w.binding);
    const auto hello_of_peer = peer.hello().value();
    const CircleTag strange = std::get<HelloMessage>(decode_message(hello_of_peer).value()).circles.at(0).tag;
    const Bytes run = encode_run(log.run());
    for (const SyncMessage& message : {SyncMessage{HeadsMessage{strange, {}}}, SyncMessage{RunMessage{strange, run}},
                                       SyncMessage{NeedMessage{strange, log.log(), 0}},
                                       SyncMessage{SentMessage{strange}}, SyncMessage{RootMessage{strange, Root{}}}}) {
        Session session(a, {w.circle}, w.binding);
        REQUIRE(session.on_message(hello_of_peer).has_value());
        CHECK(refusal(session, message) == "The peer spoke of a circle that the two do not share.");
    }
}

TEST_CASE("a circle that this side knows but the peer did not name is not shared either") {
    World w;
    MemoryLog a;
    Session session(a, {w.circle}, w.binding);
    const CircleTag tag = std::get<HelloMessage>(decode_message(session.hello().value()).value()).circles.at(0).tag;
    REQUIRE(refusal(session, HelloMessage{}).empty());
    CHECK(refusal(session, HeadsMessage{tag, {}}) == "The peer spoke of a circle that the two do not share.");
}

TEST_CASE("circle tags differ from connection to connection") {
    World w;
    MemoryLog a;
    Session one(a, {w.circle}, w.binding);
    Session two(a, {w.circle}, to_bytes(w.random.draw<Root>().view()));
    CHECK(one.hello().value() != two.hello().value());
}

TEST_CASE("a session has one beginning and one end") {
    World w;
    MemoryLog a;
    Session session(a, {w.circle}, w.binding);
    CHECK(refusal(session, SentMessage{}) == "The peer did not begin with its roots.");
    REQUIRE(refusal(session, HelloMessage{}).empty());
    CHECK(refusal(session, HelloMessage{}) == "The peer began twice.");
    REQUIRE(refusal(session, ByeMessage{}).empty());
    CHECK(session.peer_said_bye());
    CHECK(refusal(session, ByeMessage{}) == "The peer went on after its goodbye.");
}

TEST_CASE("a peer that names a circle twice is told off") {
    World w;
    MemoryLog a;
    Session session(a, {w.circle}, w.binding);
    auto hello = std::get<HelloMessage>(decode_message(session.hello().value()).value());
    hello.circles.push_back(hello.circles.front());
    CHECK(refusal(session, hello) == "The peer named a circle twice.");
}

TEST_CASE("a goodbye is the last word: what waited is dropped") {
    World w;
    MemoryLog a;
    give(a, w.log(3));
    MemoryLog empty;
    Pair pair(w, a, empty);
    Pair::deliver_one(pair.b, pair.a);
    pair.a.session.say_bye();
    const auto message = decode_message(pair.a.session.next_output().value());
    CHECK(std::holds_alternative<ByeMessage>(message.value()));
    REQUIRE(pair.a.session.on_local_news(w.circle).has_value());
    CHECK_FALSE(pair.a.session.next_output().has_value());
}

TEST_CASE("bytes that are no message end the session with the peer's fault") {
    World w;
    MemoryLog a;
    give(a, w.log(3));
    const auto fresh = [&] {
        auto session = std::make_unique<Session>(a, std::vector{w.circle}, w.binding);
        REQUIRE(session->on_message(session->hello().value()).has_value());
        return session;
    };
    CHECK(fresh()->on_message(Bytes{}).error().fault() == Fault::peer);
    CHECK(fresh()->on_message(Bytes{0}).error().fault() == Fault::peer);
    CHECK(fresh()->on_message(Bytes{99}).error().fault() == Fault::peer);
    test::SeededRandom dice(5);
    for (int round = 0; round < 2000; ++round) {
        Bytes bytes(dice.next() % 80 + 1);
        dice.fill(bytes);
        bytes[0] = static_cast<std::uint8_t>(dice.next() % 12);
        auto session = fresh();
        const auto outcome = session->on_message(bytes);
        if (!outcome) REQUIRE(outcome.error().fault() == Fault::peer);
        while (session->next_output()) {
        }
    }
    CHECK(a.event_count(w.circle) == 3);
}

TEST_CASE("a changed run stores nothing, or just what its author wrote") {
    World w;
    const LogWriter log = w.log(4);
    const Bytes run = encode_run(log.run());
    test::SeededRandom dice(6);
    for (int round = 0; round < 300; ++round) {
        MemoryLog a;
        Session session(a, {w.circle}, w.binding);
        const Bytes hello = session.hello().value();
        REQUIRE(session.on_message(hello).has_value());
        const CircleTag tag = std::get<HelloMessage>(decode_message(hello).value()).circles.at(0).tag;
        Bytes changed = run;
        changed[dice.next() % changed.size()] ^= static_cast<std::uint8_t>(dice.next() | 1);
        (void)refusal(session, RunMessage{tag, changed});
        for (std::uint64_t seq = 0; seq < a.next_seq(w.circle, log.log()).value(); ++seq) {
            REQUIRE(a.event_id(w.circle, log.log(), seq).value() == id_of(log.events()[seq].header));
        }
    }
}

TEST_CASE("joining has no place in a sync") {
    World w;
    MemoryLog a;
    Session session(a, {w.circle}, w.binding);
    REQUIRE(refusal(session, HelloMessage{}).empty());
    CHECK(refusal(session, WelcomeMessage{}) == "The peer spoke of joining in a sync.");
    CHECK(refusal(session, JoinMessage{}) == "The peer spoke of joining in a sync.");
    CHECK(refusal(session, ReturnMessage{}) == "The peer spoke of coming back in a sync.");
    CHECK(refusal(session, ReturnedMessage{}) == "The peer spoke of coming back in a sync.");
}

TEST_CASE("a log that forked between two honest peers does not stop the others") {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        CAPTURE(seed);
        World w(seed);
        MemoryLog a;
        MemoryLog b;
        // One device copied: the same three events, then each goes its own way.
        LogWriter left = w.log(3);
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
        CHECK_FALSE(pair.a.session.in_step());
        // Whose branch is no longer than the other's cannot see the fork, and tries again a few times.
        const bool both_see = left.events().size() == right.events().size();
        CHECK(pair.a.session.mismatches() == (both_see ? 1 : 4));
        CHECK(a.event_id(w.circle, left.log(), 3).value() == id_of(left.events()[3].header));
        CHECK(b.event_id(w.circle, left.log(), 3).value() == id_of(right.events()[3].header));
    }
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
        give(a, left, 3 + i, 1);
        give(b, right, 3 + i, 1);
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
}

TEST_CASE("a node that holds badly signed events passes them on without being blamed") {
    World w;
    MemoryLog a;
    MemoryLog b;
    LogWriter log = w.log();
    for (int i = 0; i < 30; ++i) log.write_note(w.key, std::string(30'000, 'x'));
    for (std::size_t seq = 0; seq < 25; ++seq) log.spoil_signature(seq);
    give(a, log);
    Pair pair(w, a, b);
    pair.settle(w.random);
    CHECK(b.event_count(w.circle) == 30);
    CHECK(pair.a.session.mismatches() == 0);
}

TEST_CASE("runs are made when they are asked for, not when the peer asks") {
    World w;
    MemoryLog a;
    LogWriter log = w.log();
    for (int i = 0; i < 40; ++i) log.write_note(w.key, std::string(60'000, 'x'));
    for (std::size_t i = 0; i < 40; ++i) give(a, log, i, 1);
    MemoryLog empty;
    Pair pair(w, a, empty);
    Pair::deliver_one(pair.b, pair.a);
    Pair::deliver_one(pair.a, pair.b);
    REQUIRE(Pair::send_one(pair.b));
    Pair::deliver_one(pair.b, pair.a);
    a.reads = 0;
    REQUIRE(Pair::send_one(pair.a));  // heads
    REQUIRE(Pair::send_one(pair.a));  // the first run
    CHECK(a.reads <= 3);
    pair.settle(w.random);
    CHECK(empty.event_count(w.circle) == 40);
}

TEST_CASE("a peer that asks on and on without reading is cut off, and costs no runs") {
    World w;
    MemoryLog a;
    LogWriter log = w.log(5);
    give(a, log);
    Session session(a, {w.circle}, w.binding);
    const Bytes hello = session.hello().value();
    REQUIRE(session.on_message(hello).has_value());
    const CircleTag tag = std::get<HelloMessage>(decode_message(hello).value()).circles.at(0).tag;
    std::string refused;
    int asked = 0;
    for (; refused.empty() && asked < 10'000; ++asked) refused = refusal(session, HeadsMessage{tag, {}});
    CHECK(refused == "The peer asks for more than it takes.");
    CHECK(asked < 2000);
}

TEST_CASE("a log that cannot be read ends the session with that fault") {
    World w;
    MemoryLog a;
    give(a, w.log(3));
    MemoryLog b;
    Pair pair(w, a, b);
    REQUIRE(Pair::deliver_one(pair.b, pair.a));
    a.broken = true;
    CHECK_FALSE(pair.a.session.next_output().has_value());
    CHECK(pair.a.session.on_local_news(w.circle).error().fault() == Fault::disk);
    CHECK(pair.a.session.on_message(encode_message(ByeMessage{})).error().fault() == Fault::disk);
}

TEST_CASE("the key to a circle is granted to a member that does not name it, and kept to oneself otherwise") {
    World w;
    MemoryLog a;
    MemoryLog b;
    Session giver(a, {w.circle}, w.binding);
    giver.offer_key(w.circle, w.key);
    Session taker(b, {}, w.binding);
    REQUIRE(giver.on_message(taker.hello().value()).has_value());
    REQUIRE(taker.on_message(giver.hello().value()).has_value());
    REQUIRE(taker.on_message(giver.next_output().value()).has_value());
    const auto grants = taker.take_grants();
    REQUIRE(grants.size() == 1);
    CHECK(grants[0].circle == w.circle);
    CHECK(grants[0].key == to_bytes(w.key.view()));
    CHECK(taker.take_grants().empty());

    Session knows(b, {w.circle}, w.binding);
    Session second(a, {w.circle}, w.binding);
    second.offer_key(w.circle, w.key);
    REQUIRE(second.on_message(knows.hello().value()).has_value());
    CHECK_FALSE(second.next_output().has_value());
}

TEST_CASE("a granted key of another length is the peer's fault") {
    World w;
    MemoryLog a;
    Session session(a, {}, w.binding);
    REQUIRE(refusal(session, HelloMessage{}).empty());
    CHECK(refusal(session, GrantMessage{w.circle, Bytes(31)}) == "The peer granted a key that is none.");
}

TEST_CASE("more circles than two peers may share are cut to the bound") {
    World w;
    MemoryLog a;
    std::vector<CircleId> circles;
    for (std::size_t i = 0; i < limits::circles_max + 5; ++i) circles.push_back(w.random.draw<CircleId>());
    Session session(a, circles, w.binding);
    const auto hello = decode_message(session.hello().value());
    CHECK(std::get<HelloMessage>(hello.value()).circles.size() == limits::circles_max);
}
