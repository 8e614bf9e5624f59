#include "store/circles/known_states.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/log_writer.hpp"
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

TEST_CASE("what a fork takes away is not in the next state") {
    World w;
    LogWriter left(w.circle, w.ada.device, w.random);
    const AdmitBody body{w.ben.id(), MemberRole::mentor, 2, "Ben", false, {w.ben.certificate()}};
    left.write_note(w.key, "first", {EventId{w.circle.data}});
    LogWriter right = left;
    left.write(w.key, {{w.node.now, 0}, kind::admit, {}, codec::encode(body)}, {EventId{w.circle.data}});
    right.write_note(w.key, "the other branch", {EventId{w.circle.data}});
    REQUIRE(w.node.log.append_run(w.circle, left.run()).value() == Appended::stored);
    REQUIRE(w.knows(w.ben));
    REQUIRE(w.node.log.append_run(w.circle, right.run()).value() == Appended::forked);
    CHECK_FALSE(w.knows(w.ben));
}

TEST_CASE("a state asked for in a step that is undone is not taken for the next one") {
    World w;
    const auto admit = [&](const test::Person& who) {
        const AdmitBody body{who.id(), MemberRole::mentor, 2, who.name, false, {who.certificate()}};
        const store::NewEvent event{w.circle, kind::admit, codec::encode(body)};
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
