#include "store/circles/known_states.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/protocol/made_up_fork.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::LogWriter;

namespace {

struct World : test::FoundedCircle {
    store::KnownStates states{node.db};

    World() : FoundedCircle(51, CircleKind::club) {}
    CircleState known() { return *states.of(circle).value(); }
    bool knows(const test::Person& who) { return known().members.contains(who.id()); }
    AdmitBody admission(const test::Person& who) {
        return {who.id(), MemberRole::mentor, 2, who.name, false, {who.certificate()}};
    }
    // The next event of a log of Ada's.
    void write_admission(LogWriter& log, const test::Person& who) {
        log.write(key, {{node.now, 0}, kind::admit, {}, codec::encode(admission(who))}, {EventId{circle.data}});
    }
    void note(LogWriter& log) { log.write_note(key, "a word", {EventId{circle.data}}); }
    Appended take(const LogWriter& log) { return node.log.append_run(circle, log.run()).value(); }
};

}  // namespace

TEST_CASE("a circle's state is kept as long as nothing comes that it is made from") {
    World w;
    const CircleState before = w.known();
    // Unseen: nobody changes control events.
    REQUIRE(w.node.db.execute("UPDATE control_event SET payload = x'00'").has_value());
    w.say(w.node, kind::note, {});
    CHECK(w.known() == before);
}

TEST_CASE("a control event that comes is in the next state") {
    World w;
    REQUIRE_FALSE(w.knows(w.ben));
    w.admit(w.node, w.ben, MemberRole::mentor);
    CHECK(w.knows(w.ben));
    CHECK(w.known() == w.state(w.node));
}

TEST_CASE("what a fork takes away is not in the next state, nor what the same log's fork further in front does") {
    World w;
    LogWriter log(w.circle, w.ada.device, w.random);
    w.note(log);
    LogWriter forks_at_one = log;
    w.write_admission(log, w.ben);
    LogWriter forks_at_two = log;
    w.write_admission(log, w.cal);
    REQUIRE(w.take(log) == Appended::stored);
    REQUIRE(w.knows(w.cal));
    w.note(forks_at_two);
    REQUIRE(w.take(forks_at_two) == Appended::forked);
    CHECK_FALSE(w.knows(w.cal));
    REQUIRE(w.knows(w.ben));
    w.note(forks_at_one);
    REQUIRE(w.take(forks_at_one) == Appended::forked);
    CHECK_FALSE(w.knows(w.ben));
}

TEST_CASE("what stands in a log that forks at its first event is not in the next state") {
    World w;
    LogWriter log(w.circle, w.ada.device, w.random);
    LogWriter other = log;
    w.write_admission(log, w.ben);
    REQUIRE(w.take(log) == Appended::stored);
    REQUIRE(w.knows(w.ben));
    w.note(other);
    REQUIRE(w.take(other) == Appended::forked);
    CHECK_FALSE(w.knows(w.ben));
}

TEST_CASE("forks with the largest numbers, of logs that somebody made up, do no harm") {
    World w;
    const CircleState before = w.known();
    for (int i = 0; i < 3; ++i) {
        const LogOpening opening{w.ada.device_id(), w.random.draw<LogSalt>(), false};
        const ForkProof proof = test::made_up_fork(w.circle, w.ada.device, opening, limits::seq_max, w.random);
        REQUIRE(verify_fork(w.circle, proof).has_value());
        REQUIRE(w.node.log.append_fork_proof(w.circle, proof).value());
    }
    REQUIRE(w.states.of(w.circle).has_value());
    CHECK(w.known() == before);
}

TEST_CASE("a state asked for in a step that is undone is not taken for the next one") {
    World w;
    const auto admit = [&](const test::Person& who) {
        const store::NewEvent event{w.circle, kind::admit, codec::encode(w.admission(who))};
        REQUIRE(w.node.log.append_within(event, w.node.now).has_value());
    };
    auto tx = store::sqlite::Transaction::begin(w.node.db);
    admit(w.ben);
    REQUIRE(w.knows(w.ben));
    tx.value().roll_back();
    auto next = store::sqlite::Transaction::begin(w.node.db);
    admit(w.cal);
    REQUIRE(next.value().commit().has_value());
    CHECK(w.knows(w.cal));
    CHECK_FALSE(w.knows(w.ben));
}

TEST_CASE("one circle's state is not another's") {
    World w;
    const CircleState club = w.known();
    const CircleId path = w.node.found(w.ada, CircleKind::path, MemberRole::newcomer);
    CHECK(w.states.of(path).value()->kind == CircleKind::path);
    CHECK(w.known() == club);
}

TEST_CASE("a circle that is not known here is not found") {
    World w;
    CHECK(w.states.of(w.random.draw<CircleId>()).error().fault() == Fault::not_found);
}
