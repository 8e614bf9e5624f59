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
using test::EqualSession;

namespace {

RunMessage run_message(const EqualSession& session, const World& w, const LogWriter& log, const Run& run) {
    return {0, {{session.tag_of(w, log.log()), encode_run_body(run)}}};
}

std::vector<SyncMessage> all_said(Session& session) {
    std::vector<SyncMessage> out;
    while (auto message = session.next_output()) out.push_back(decode_message(*message).value());
    return out;
}

}  // namespace

TEST_CASE("a run that begins past what is here is answered with the place to begin at") {
    World w;
    MemoryLog a;
    LogWriter log = w.log(5);
    give(a, log, 0, 2);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, run_message(peer, w, log, log.run(4, 1))).empty());
    const auto answer = decode_message(peer.session.next_output().value());
    const auto& need = std::get<NeedMessage>(answer.value());
    REQUIRE(need.logs.size() == 1);
    CHECK(need.logs[0].log == peer.tag_of(w, log.log()));
    CHECK(need.logs[0].next_seq == 2);
    // The same gap again asks nothing new.
    REQUIRE(refusal(peer.session, run_message(peer, w, log, log.run(3, 2))).empty());
    CHECK_FALSE(peer.session.next_output().has_value());
    REQUIRE(refusal(peer.session, run_message(peer, w, log, log.run(2, 3))).empty());
    CHECK(a.next_seq(w.circle, log.log()).value() == 5);
}

TEST_CASE("a run of a log that nobody has named before is answered with its first place") {
    World w;
    MemoryLog a;
    const LogWriter log = w.log(5);
    EqualSession peer(w, a);
    REQUIRE(refusal(peer.session, run_message(peer, w, log, log.run(2, 3))).empty());
    const auto answer = decode_message(peer.session.next_output().value());
    CHECK(std::get<NeedMessage>(answer.value()).logs.at(0).next_seq == 0);
}

TEST_CASE("who is asked from a place sends from that place") {
    World w;
    MemoryLog a;
    LogWriter log = w.log(5);
    give(a, log);
    EqualSession peer(w, a);
    const LogTag tag = peer.tag_of(w, log.log());
    const HeadTree tags(hash_as<TreeKey>("ladderline tree key 1", {w.binding, w.circle.view()}), {});
    const HeadTag head = tags.head_tag(log.log(), 3, id_of(log.events()[2].header));
    REQUIRE(refusal(peer.session, NeedMessage{0, {{tag, 3, std::nullopt, head}}, {}, false}).empty());
    const auto message = decode_message(peer.session.next_output().value());
    const auto run = decode_run_body(log.log(), std::get<RunMessage>(message.value()).runs.at(0).run);
    CHECK(run.value().first_seq == 3);
    CHECK(run.value().events.size() == 2);
    CHECK_FALSE(peer.session.next_output().has_value());
    const auto strange = w.random.draw<LogTag>();
    REQUIRE(refusal(peer.session, NeedMessage{0, {{strange, 0, std::nullopt, {}}}, {}, false}).empty());
    CHECK_FALSE(peer.session.next_output().has_value());
}

TEST_CASE("nothing of a circle that the two do not share is taken or told") {
    World w;
    MemoryLog a;
    const LogWriter log = w.log(2);
    give(a, log);
    const Bytes run = encode_run_body(log.run());
    for (const SyncMessage& message :
         {SyncMessage{ChangesMessage{1, 0, {}}}, SyncMessage{TreeMessage{1, {}}},
          SyncMessage{RunMessage{1, {{LogTag{}, run}}}}, SyncMessage{NeedMessage{1, {}, {}, false}},
          SyncMessage{ProbeMessage{1, {}, {}}}, SyncMessage{ProofMessage{1, {}}}, SyncMessage{DoneMessage{1, {}, 0, 0}},
          SyncMessage{SameMessage{1, 1, 0}}, SyncMessage{AgainMessage{1}}}) {
        EqualSession peer(w, a);
        CHECK(refusal(peer.session, message) == "The peer spoke of a circle that the two do not share.");
    }
}

TEST_CASE("a circle that the peer does not name is not shared either") {
    World w;
    MemoryLog a;
    Session session(a, Session::Side::called, {w.circle}, w.binding);
    REQUIRE(session.begin().has_value());
    REQUIRE(refusal(session, AnswerMessage{{}, 0, {HelloAnswer::unknown}}).empty());
    CHECK(refusal(session, TreeMessage{0, {}}) == "The peer spoke of a circle that the two do not share.");
}

TEST_CASE("a message at the wrong moment ends the session") {
    World w;
    MemoryLog a;
    give(a, w.log(2));
    const auto begun = [&](HelloAnswer answer) {
        auto session = std::make_unique<Session>(a, Session::Side::called, std::vector{w.circle}, w.binding);
        REQUIRE(session->begin().has_value());
        REQUIRE(refusal(*session, AnswerMessage{{}, 0, {answer}}).empty());
        return session;
    };
    const std::string out_of_turn = "The peer spoke out of turn.";
    // Before the comparison that was announced nothing else makes sense.
    for (const SyncMessage& message : {SyncMessage{RunMessage{0, {}}}, SyncMessage{NeedMessage{0, {}, {}, false}},
                                       SyncMessage{DoneMessage{0, {}, 0, 0}}, SyncMessage{ChangesMessage{0, 0, {}}}}) {
        CHECK(refusal(*begun(HelloAnswer::tree), message) == out_of_turn);
    }
    CHECK(refusal(*begun(HelloAnswer::cursor), TreeMessage{0, {}}) == out_of_turn);
    CHECK(refusal(*begun(HelloAnswer::equal), ChangesMessage{0, 0, {}}) == out_of_turn);
    CHECK(refusal(*begun(HelloAnswer::equal), SameMessage{0, 1, 0}) == out_of_turn);
    CHECK(refusal(*begun(HelloAnswer::equal), AgainMessage{0}) == out_of_turn);
    CHECK(refusal(*begun(HelloAnswer::equal), TreeMessage{0, {{33, false, {}, {}}}}) == out_of_turn);
    CHECK(refusal(*begun(HelloAnswer::tree), TreeMessage{0, {{2, false, {}, {}}}}) == out_of_turn);
    CHECK(refusal(*begun(HelloAnswer::equal), DoneMessage{0, {}, 1, 0}) == "The peer took in more than was sent.");
    CHECK(refusal(*begun(HelloAnswer::equal), AckMessage{1}) == "The peer acknowledged what was not sent.");
}

TEST_CASE("an answer that does not fit the hello ends the session") {
    World w;
    MemoryLog a;
    Session session(a, Session::Side::called, {w.circle}, w.binding);
    REQUIRE(session.begin().has_value());
    CHECK(refusal(session, AnswerMessage{{}, 0, {}}) == "The peer spoke out of turn.");
}

TEST_CASE("circle tags differ from connection to connection") {
    World w;
    MemoryLog a;
    Session one(a, Session::Side::called, {w.circle}, w.binding);
    Session two(a, Session::Side::called, {w.circle}, to_bytes(w.random.draw<Root>().view()));
    REQUIRE(one.begin().has_value());
    REQUIRE(two.begin().has_value());
    CHECK(one.next_output() != two.next_output());
}

TEST_CASE("a session has one beginning and one end") {
    World w;
    MemoryLog a;
    Session session(a, Session::Side::caller, {w.circle}, w.binding);
    CHECK(refusal(session, DoneMessage{}) == "The peer did not begin with its roots.");
    REQUIRE(refusal(session, HelloMessage{}).empty());
    CHECK(refusal(session, HelloMessage{}) == "The peer began twice.");
    REQUIRE(refusal(session, ByeMessage{}).empty());
    CHECK(session.peer_said_bye());
    CHECK(refusal(session, ByeMessage{}) == "The peer went on after its goodbye.");
}

TEST_CASE("a caller who hangs up before it has answered is no liar") {
    World w;
    MemoryLog a;
    Session session(a, Session::Side::called, {w.circle}, w.binding);
    REQUIRE(session.begin().has_value());
    CHECK(refusal(session, ByeMessage{}).empty());
    CHECK(session.peer_said_bye());
    CHECK_FALSE(session.greeted());
}

TEST_CASE("a peer that names a circle twice is told off") {
    World w;
    MemoryLog a;
    Session called(a, Session::Side::called, {w.circle}, w.binding);
    REQUIRE(called.begin().has_value());
    auto hello = std::get<HelloMessage>(decode_message(called.next_output().value()).value());
    hello.circles.push_back(hello.circles.front());
    Session session(a, Session::Side::caller, {w.circle}, w.binding);
    CHECK(refusal(session, hello) == "The peer named a circle twice.");
}

TEST_CASE("a goodbye is the last word: what waited is dropped") {
    World w;
    MemoryLog a;
    give(a, w.log(3));
    MemoryLog empty;
    Pair pair(w, a, empty);
    REQUIRE(Pair::send_one(pair.b));
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
    test::SeededRandom dice(5);
    const auto fresh = [&] {
        auto session = std::make_unique<Session>(a, Session::Side::called, std::vector{w.circle}, w.binding);
        REQUIRE(session->begin().has_value());
        const HelloAnswer answer = dice.next() % 2 == 0 ? HelloAnswer::equal : HelloAnswer::tree;
        REQUIRE(session->on_message(encode_message(AnswerMessage{{}, 0, {answer}})).has_value());
        return session;
    };
    CHECK(fresh()->on_message(Bytes{}).error().fault() == Fault::peer);
    CHECK(fresh()->on_message(Bytes{0}).error().fault() == Fault::peer);
    CHECK(fresh()->on_message(Bytes{99}).error().fault() == Fault::peer);
    for (int round = 0; round < 2000; ++round) {
        Bytes bytes(dice.next() % 80 + 1);
        dice.fill(bytes);
        bytes[0] = static_cast<std::uint8_t>(dice.next() % 18);
        if (dice.next() % 2 == 0 && bytes.size() > 1) bytes[1] = 0;  // the circle that is shared
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
    const Bytes run = encode_run_body(log.run());
    test::SeededRandom dice(6);
    for (int round = 0; round < 300; ++round) {
        MemoryLog a;
        EqualSession peer(w, a);
        Bytes changed = run;
        changed[dice.next() % changed.size()] ^= static_cast<std::uint8_t>(dice.next() | 1);
        (void)refusal(peer.session, RunMessage{0, {{peer.tag_of(w, log.log()), changed}}});
        for (std::uint64_t seq = 0; seq < a.next_seq(w.circle, log.log()).value(); ++seq) {
            REQUIRE(a.event_id(w.circle, log.log(), seq).value() == id_of(log.events()[seq].header));
        }
    }
}

TEST_CASE("joining has no place in a sync") {
    World w;
    MemoryLog a;
    Session session(a, Session::Side::caller, {w.circle}, w.binding);
    REQUIRE(refusal(session, HelloMessage{}).empty());
    CHECK(refusal(session, WelcomeMessage{}) == "The peer spoke of joining in a sync.");
    CHECK(refusal(session, JoinMessage{}) == "The peer spoke of joining in a sync.");
    CHECK(refusal(session, ReturnMessage{}) == "The peer spoke of coming back in a sync.");
    CHECK(refusal(session, ReturnedMessage{}) == "The peer spoke of coming back in a sync.");
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

TEST_CASE("no more than the window is under way to a peer that does not acknowledge") {
    World w;
    MemoryLog a;
    LogWriter log = w.log();
    for (int i = 0; i < 80; ++i) log.write_note(w.key, std::string(60'000, 'x'));
    for (std::size_t i = 0; i < 80; ++i) give(a, log, i, 1);
    MemoryLog empty;
    Pair pair(w, empty, a);
    REQUIRE(Pair::send_one(pair.b));
    REQUIRE(Pair::deliver_one(pair.b, pair.a));
    while (Pair::send_one(pair.a)) {
    }
    while (Pair::deliver_one(pair.a, pair.b)) {
    }
    a.reads = 0;
    while (Pair::send_one(pair.b)) {
    }
    CHECK(pair.b.session.in_flight() >= limits::flight_bytes_max);
    CHECK(pair.b.session.in_flight() < limits::flight_bytes_max + 2 * limits::run_bytes_max);
    CHECK(a.reads < 20);
    pair.settle(w.random);
    CHECK(empty.event_count(w.circle) == 80);
    CHECK(pair.a.session.in_step());
    CHECK(pair.b.session.in_flight() < limits::flight_bytes_max / 4 + 2 * limits::run_bytes_max);
}

TEST_CASE("a peer that asks on and on without reading is cut off, and costs no runs") {
    World w;
    MemoryLog a;
    for (int i = 0; i < 40; ++i) give(a, w.log(1));
    EqualSession peer(w, a);
    TreeNode node{HeadTree::root, false, {}, {}};
    for (NodeDigest& digest : node.digests) digest.data[0] = 1;
    std::string refused;
    int asked = 0;
    for (; refused.empty() && asked < 100; ++asked) {
        refused = refusal(peer.session, TreeMessage{0, {node}});
        if (refused.empty()) refused = refusal(peer.session, TreeMessage{0, {{33, true, {}, {}}}});
    }
    CHECK(refused == "The peer asks for more than it takes.");
    CHECK(asked < 20);
}

TEST_CASE("a peer that takes no answer is cut off when too many wait for it") {
    World w;
    MemoryLog a;
    EqualSession peer(w, a);
    const DoneMessage same{0, root_of(w.circle, {}), 0, 0};
    std::string refused;
    int said = 0;
    while (refused.empty() && said < 10'000) {
        refused = refusal(peer.session, same);
        ++said;
    }
    CHECK(refused == "The peer asks for more than it takes.");
    CHECK(said == 4097);
}

TEST_CASE("a log that cannot be read ends the session with that fault") {
    World w;
    MemoryLog a;
    give(a, w.log(3));
    MemoryLog b;
    EqualSession peer(w, a);
    give(a, w.log(1));
    REQUIRE(peer.session.on_local_news(w.circle).has_value());
    a.broken = true;
    CHECK_FALSE(peer.session.next_output().has_value());
    CHECK(peer.session.on_local_news(w.circle).error().fault() == Fault::disk);
    CHECK(peer.session.on_message(encode_message(ByeMessage{})).error().fault() == Fault::disk);
}

TEST_CASE("the key to a circle is granted to a member that does not name it, and kept to oneself otherwise") {
    for (const bool giver_calls : {true, false}) {
        World w;
        MemoryLog a;
        MemoryLog b;
        Session giver(a, giver_calls ? Session::Side::caller : Session::Side::called, {w.circle}, w.binding);
        giver.offer_key(w.circle, w.key);
        Session taker(b, giver_calls ? Session::Side::called : Session::Side::caller, {}, w.binding);
        const auto talk = [&] {
            for (int i = 0; i < 4; ++i) {
                while (auto m = giver.next_output()) REQUIRE(taker.on_message(*m).has_value());
                while (auto m = taker.next_output()) REQUIRE(giver.on_message(*m).has_value());
            }
        };
        REQUIRE(giver.begin().has_value());
        REQUIRE(taker.begin().has_value());
        talk();
        const auto grants = taker.take_grants();
        REQUIRE(grants.size() == 1);
        CHECK(grants[0].circle == w.circle);
        CHECK(grants[0].key == to_bytes(w.key.view()));
        CHECK(taker.take_grants().empty());
    }
    World w;
    MemoryLog a;
    MemoryLog b;
    Session knows(b, Session::Side::called, {w.circle}, w.binding);
    Session second(a, Session::Side::caller, {w.circle}, w.binding);
    second.offer_key(w.circle, w.key);
    REQUIRE(knows.begin().has_value());
    REQUIRE(second.on_message(knows.next_output().value()).has_value());
    const auto said = all_said(second);
    CHECK(said.size() == 1);
    CHECK(std::holds_alternative<AnswerMessage>(said.at(0)));
}

TEST_CASE("a granted key of another length is the peer's fault") {
    World w;
    MemoryLog a;
    Session session(a, Session::Side::caller, {}, w.binding);
    REQUIRE(refusal(session, HelloMessage{}).empty());
    CHECK(refusal(session, GrantMessage{w.circle, Bytes(31)}) == "The peer granted a key that is none.");
}

TEST_CASE("more circles than two peers may share are cut to the bound") {
    World w;
    MemoryLog a;
    std::vector<CircleId> circles;
    for (std::size_t i = 0; i < limits::circles_max + 5; ++i) circles.push_back(w.random.draw<CircleId>());
    Session session(a, Session::Side::called, circles, w.binding);
    REQUIRE(session.begin().has_value());
    const auto hello = decode_message(session.next_output().value());
    CHECK(std::get<HelloMessage>(hello.value()).circles.size() == limits::circles_max);
}

TEST_CASE("of more circles than can be named the first are always shared, and the others in turn") {
    World w;
    MemoryLog a;
    MemoryLog b;
    std::vector<CircleId> circles;
    for (std::size_t i = 0; i < limits::circles_max + 20; ++i) circles.push_back(w.random.draw<CircleId>());
    const std::vector<CircleId> other_way(circles.rbegin(), circles.rend());
    std::map<CircleId, int> times;
    constexpr int sessions = 60;
    for (int i = 0; i < sessions; ++i) {
        const auto binding = w.random.draw<Root>();
        Session called(a, Session::Side::called, circles, binding.view());
        Session caller(b, Session::Side::caller, other_way, binding.view());
        REQUIRE(called.begin().has_value());
        REQUIRE(caller.begin().has_value());
        REQUIRE(caller.on_message(called.next_output().value()).has_value());
        REQUIRE(called.on_message(caller.next_output().value()).has_value());
        for (const CircleId& id : circles) times[id] += called.in_step(id) && caller.in_step(id) ? 1 : 0;
    }
    for (std::size_t i = 0; i < circles.size(); ++i) {
        CAPTURE(i);
        CHECK(times[circles[i]] > 0);
        if (i < limits::circles_max * 3 / 4) CHECK(times[circles[i]] == sessions);
    }
}

TEST_CASE("a peer who makes up names of logs without end is cut off") {
    World w;
    MemoryLog a;
    const LogWriter log = w.log(2);
    EqualSession peer(w, a);
    const Bytes body = encode_run_body(log.run(1, 1));
    std::string said;
    std::size_t messages = 0;
    for (; said.empty() && messages < 100; ++messages) {
        RunMessage message{0, {}};
        for (int i = 0; i < 1000; ++i) message.runs.push_back({w.random.draw<LogTag>(), body});
        said = refusal(peer.session, message);
        while (peer.session.next_output()) {
        }
    }
    CHECK(said == "The peer asks for more than it takes.");
    CHECK(messages == limits::heads_max / 1000 + 1);
}
