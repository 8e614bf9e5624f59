// What the store does with a log that forked: it keeps the proof, and nothing from the fork on counts.

#include <doctest/doctest.h>

#include <memory>

#include "store/upkeep/instance.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/made_up_fork.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::LogWriter;
using test::Person;

namespace {

struct World : test::FoundedCircle {
    World() : FoundedCircle(81, CircleKind::club) {}

    LogWriter left{circle, ada.device, random};  // a second log of Ada's device, which will fork

    void admit(LogWriter& log, const Person& who) {
        const AdmitBody body{who.id(), MemberRole::mentor, 2, who.name, false, {who.certificate()}};
        log.write(key, {{node.now, 0}, kind::admit, {}, codec::encode(body)}, {EventId{circle.data}});
    }
    bool is_member(const Person& who) {
        return node.count("SELECT count(*) FROM member WHERE removed = 0 AND name = '" + who.name + "'") == 1;
    }
};

// Counts how often what is dear is worked out.
class SettleCount : public store::ReadModel {
public:
    std::string name() const override { return "settle count"; }
    std::int64_t version() const override { return 1; }
    Result<void> reset(store::sqlite::Database&) override { return ok(); }
    Result<void> apply(store::sqlite::Database&, const store::OpenedEvent&) override { return ok(); }
    std::vector<std::string> tables() const override { return {}; }
    Result<void> settle(store::sqlite::Database&, const CircleId&, bool) override {
        ++count;
        return ok();
    }

    std::size_t count = 0;
};

}  // namespace

TEST_CASE("control events at and after a fork lose their effect, those before it keep it") {
    World w;
    w.admit(w.left, w.ben);
    LogWriter right = w.left;
    w.admit(w.left, w.cal);
    right.write_note(w.key, "the other branch");
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(w.is_member(w.ben));
    REQUIRE(w.is_member(w.cal));
    CHECK(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    CHECK(w.is_member(w.ben));
    CHECK_FALSE(w.is_member(w.cal));
    CHECK(w.node.count("SELECT count(*) FROM author WHERE seq_max = 0") == 1);
    const auto forks = store::forked_logs(w.node.db, w.circle).value();
    REQUIRE(forks.size() == 1);
    CHECK(forks[0].seq == 1);
    CHECK(forks[0].withdrawn == 1);
}

TEST_CASE("a log that forks at its first event has no author, whether its events are here or not") {
    World w;
    LogWriter right = w.left;
    w.left.write_note(w.key, "one", {EventId{w.circle.data}});
    right.write_note(w.key, "other", {EventId{w.circle.data}});
    const auto authors = w.node.count("SELECT count(*) FROM author");
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(w.node.count("SELECT count(*) FROM author") == authors + 1);
    REQUIRE(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    CHECK(w.node.count("SELECT count(*) FROM author") == authors);
}

TEST_CASE("the key of an event beyond a fork is not missed") {
    World w;
    LogWriter right = w.left;
    const AeadKey unknown = AeadKey::random(w.random);
    w.left.write_note(unknown, "under a key that is not here");
    right.write_note(w.key, "the other branch");
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(w.node.log.missing_keys(w.circle).value().size() == 1);
    REQUIRE(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    CHECK(w.node.log.missing_keys(w.circle).value().empty());
}

TEST_CASE("stores with different branches show the same heads once both hold the proof") {
    World w;
    EventLogNode other{83};
    REQUIRE(other.log.add_key(w.circle, w.key).has_value());
    test::carry(w.node, other, w.circle);
    w.admit(w.left, w.ben);
    LogWriter right = w.left;
    for (int i = 0; i < 3; ++i) w.left.write_note(w.key, "left");
    right.write_note(w.key, "right");
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(other.log.append_run(w.circle, right.run()).value() == Appended::stored);
    CHECK(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    const ForkProof proof = w.node.log.fork_proof(w.circle, right.log()).value().value();
    REQUIRE(verify_fork(w.circle, proof).has_value());
    CHECK(other.log.append_fork_proof(w.circle, proof).value());
    CHECK_FALSE(other.log.append_fork_proof(w.circle, proof).value());
    CHECK(w.node.log.heads(w.circle).value() == other.log.heads(w.circle).value());
    CHECK(other.log.next_seq(w.circle, right.log()).value() == 1);
    CHECK_FALSE(other.log.event_id(w.circle, right.log(), 1).value().has_value());
    CHECK(other.log.append_run(w.circle, w.left.run(1, 3)).value() == Appended::known);
    CHECK(other.log.read_run(w.circle, right.log(), 1).error().fault() == Fault::not_found);
}

TEST_CASE("a proof for a log that is not here yet is kept, and the log then grows up to it") {
    World w;
    for (int i = 0; i < 2; ++i) w.left.write_note(w.key, "same");
    LogWriter right = w.left;
    w.left.write_note(w.key, "left");
    right.write_note(w.key, "right");
    const auto from = [](const LogWriter& log) {
        return std::vector<CheckedEvent>{{id_of(log.events()[2].header), log.events()[2]}};
    };
    const auto proof = prove_fork(right.opening(), from(w.left), from(right)).value();
    CHECK(w.node.log.append_fork_proof(w.circle, proof).value());
    CHECK(w.node.log.heads(w.circle).value().size() == 2);
    CHECK(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    CHECK(w.node.log.next_seq(w.circle, right.log()).value() == 2);
    CHECK(w.node.log.append_run(w.circle, right.run()).value() == Appended::known);
}

TEST_CASE("whoever forked writes on in a new log") {
    World w;
    const LogHead mine = w.node.log.heads(w.circle).value().at(0);
    REQUIRE(w.node.log.append({w.circle, kind::touch, {}, {}}, w.node.now).has_value());
    // The same device, elsewhere, from a copy of the first event on.
    EventLogNode copy{84};
    REQUIRE(copy.log.add_key(w.circle, w.key).has_value());
    const Run first = w.node.log.read_run(w.circle, mine.log, 0).value();
    REQUIRE(copy.log.append_run(w.circle, Run{first.log, first.opening, 0, {first.events[0]}}).value() ==
            Appended::stored);
    copy.act_as(w.ada);
    REQUIRE(copy.db.execute("UPDATE log SET mine = 1").has_value());
    REQUIRE(copy.log.append({w.circle, kind::touch, {}, {}}, w.node.now).has_value());
    REQUIRE(w.node.log.append_run(w.circle, copy.log.read_run(w.circle, mine.log, 1).value()).value() ==
            Appended::forked);
    REQUIRE(w.node.log.append({w.circle, kind::touch, {}, {}}, w.node.now).has_value());
    CHECK(w.node.log.next_seq(w.circle, mine.log).value() == 1);
    CHECK(w.node.log.heads(w.circle).value().size() == 2);
}

TEST_CASE("what changed since an arrival is told with the place it had then") {
    World w;
    REQUIRE(store::begin_instance(w.node.db, w.random.draw<store::InstanceId>()).has_value());
    for (int i = 0; i < 5; ++i) w.left.write_note(w.key, "note");
    REQUIRE(w.node.log.append_run(w.circle, w.left.run(0, 2)).value() == Appended::stored);
    const Position then = w.node.log.position().value().value();
    CHECK(w.node.log.changes_since(w.circle, then.arrivals).value().empty());
    REQUIRE(w.node.log.append_run(w.circle, w.left.run(2, 3)).value() == Appended::stored);
    const auto changes = w.node.log.changes_since(w.circle, then.arrivals).value();
    REQUIRE(changes.size() == 1);
    CHECK(changes[0].from == 2);
    CHECK(changes[0].now.next_seq == 5);
    CHECK(w.node.log.position().value()->arrivals == then.arrivals + 3);
}

TEST_CASE("a cursor is kept for a peer and a circle, and can be forgotten") {
    World w;
    const auto peer = w.random.draw<PeerTag>();
    CHECK_FALSE(w.node.log.cursor_for(w.circle, peer).value().has_value());
    REQUIRE(w.node.log.keep_cursor(w.circle, peer, Cursor{7, 9}).has_value());
    REQUIRE(w.node.log.keep_cursor(w.circle, peer, Cursor{8, 10}).has_value());
    CHECK(w.node.log.cursor_for(w.circle, peer).value() == Cursor{8, 10});
    CHECK_FALSE(w.node.log.cursor_for(w.random.draw<CircleId>(), peer).value().has_value());
    REQUIRE(w.node.log.keep_cursor(w.circle, peer, std::nullopt).has_value());
    CHECK_FALSE(w.node.log.cursor_for(w.circle, peer).value().has_value());
}

TEST_CASE("what was built on an event that turns out to stand beyond a fork goes on counting") {
    World w;
    LogWriter right = w.left;
    w.admit(w.left, w.ben);
    right.write_note(w.key, "the other branch");
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    const AdmitBody cal{w.cal.id(), MemberRole::mentor, 2, w.cal.name, false, {w.cal.certificate()}};
    REQUIRE(w.node.log.append({w.circle, kind::admit, codec::encode(cal), {}}, w.node.now).has_value());
    REQUIRE(w.is_member(w.cal));
    REQUIRE(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    CHECK(w.is_member(w.cal));
}

TEST_CASE("the proof of a fork of a log of which nothing is here works nothing out anew") {
    World w;
    SettleCount settles;
    EventLogNode other{85, {&settles}};
    REQUIRE(other.log.add_key(w.circle, w.key).has_value());
    test::carry(w.node, other, w.circle);
    const SignKeys device = make_sign_keys(w.random);
    const LogOpening opening{DeviceId::from(device.pub.view()), w.random.draw<LogSalt>(), false};
    const std::size_t before = settles.count;
    for (const std::uint64_t seq : {5U, 0U}) {
        REQUIRE(other.log.append_fork_proof(w.circle, test::made_up_fork(w.circle, device, opening, seq, w.random))
                    .value());
    }
    CHECK(settles.count == before);
}

TEST_CASE("whether a fork's proof or the log comes first, the same counts") {
    World w;
    for (int i = 0; i < 2; ++i) w.left.write_note(w.key, "same", {EventId{w.circle.data}});
    const ForkProof proof = test::made_up_fork(w.circle, w.ada.device, w.left.opening(), 1, w.random);
    EventLogNode other{86};
    REQUIRE(other.log.add_key(w.circle, w.key).has_value());
    test::carry(w.node, other, w.circle);
    REQUIRE(w.node.log.append_fork_proof(w.circle, proof).value());
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(other.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(other.log.append_fork_proof(w.circle, proof).value());
    for (EventLogNode* at : {&w.node, &other}) {
        CHECK(at->count("SELECT seq_max FROM author JOIN fork_proof WHERE log_ref = "
                        "(SELECT log_ref FROM log WHERE log.log = fork_proof.log)") == 0);
    }
}

TEST_CASE("what stands before a fork is passed on with the signature beyond it, by everybody who got it") {
    World w;
    for (int i = 0; i < 70; ++i) w.left.write_note(w.key, "note", {EventId{w.circle.data}});
    for (std::size_t seq = 0; seq < 69; ++seq) w.left.spoil_signature(seq);
    const ForkProof proof = test::made_up_fork(w.circle, w.ada.device, w.left.opening(), 2, w.random);
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(w.node.log.append_fork_proof(w.circle, proof).value());
    EventLogNode* from = &w.node;
    std::vector<std::unique_ptr<EventLogNode>> others;
    for (const bool proof_first : {true, false, true}) {
        EventLogNode& to = *others.emplace_back(std::make_unique<EventLogNode>(90 + others.size()));
        REQUIRE(to.log.add_key(w.circle, w.key).has_value());
        if (proof_first) REQUIRE(to.log.append_fork_proof(w.circle, proof).value());
        test::carry(*from, to, w.circle);
        if (!proof_first) REQUIRE(to.log.append_fork_proof(w.circle, proof).value());
        CHECK(to.log.heads(w.circle).value() == w.node.log.heads(w.circle).value());
        CHECK(to.log.next_seq(w.circle, w.left.log()).value() == 2);
        CHECK_FALSE(to.log.event_id(w.circle, w.left.log(), 2).value().has_value());
        from = &to;
    }
}

TEST_CASE("nothing is kept beyond a fork but what stands up to the signature over the events before it") {
    World w;
    for (int i = 0; i < 5; ++i) w.left.write_note(w.key, "note", {EventId{w.circle.data}});
    w.left.spoil_signature(1);
    const ForkProof proof = test::made_up_fork(w.circle, w.ada.device, w.left.opening(), 2, w.random);
    REQUIRE(w.node.log.append_fork_proof(w.circle, proof).value());
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    const auto forks = store::forked_logs(w.node.db, w.circle).value();
    REQUIRE(forks.size() == 1);
    CHECK(forks[0].withdrawn == 1);
    CHECK(w.node.log.read_run(w.circle, w.left.log(), 0).value().events.size() == 3);
}

TEST_CASE("a run that goes on beyond a known fork in another branch is no news") {
    World w;
    w.left.write_note(w.key, "same", {EventId{w.circle.data}});
    w.left.spoil_signature(0);
    LogWriter right = w.left;
    w.left.write_note(w.key, "left");
    right.write_note(w.key, "right");
    REQUIRE(w.node.log.append_run(w.circle, w.left.run()).value() == Appended::stored);
    REQUIRE(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    CHECK(w.node.log.append_run(w.circle, right.run()).value() == Appended::known);
}
