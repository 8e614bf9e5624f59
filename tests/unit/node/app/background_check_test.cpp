#include "node/app/background_check.hpp"

#include <doctest/doctest.h>

#include <boost/asio/io_context.hpp>

#include "protocol/event/kinds.hpp"
#include "store/upkeep/last_check.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;

namespace {

// A store of 201 events, and the check as a running node has it.
struct Strand {
    test::SeededRandom random{11};
    test::Person ada = test::make_person("Ada", random);
    test::EventLogNode node{12};
    protocol::CircleId circle = node.found(ada, protocol::CircleKind::club, protocol::MemberRole::officer);
    test::SetClock clock;
    node::Env env{clock, random};
    boost::asio::io_context io;
    node::BackgroundCheck check{io.get_executor(), node.db, env};

    Strand() {
        const store::NewEvent note{circle, protocol::kind::note, Bytes(10, 1), {}};
        REQUIRE(node.log.append(std::vector<store::NewEvent>(200, note), node.now).has_value());
    }
    // Turns of the strand until the result is kept.
    int turns_to_result() {
        check.start();
        int turns = 0;
        while (!store::last_check(node.db).value()) {
            REQUIRE(io.run_one() == 1);
            ++turns;
        }
        check.stop();
        return turns;
    }
};

}  // namespace

TEST_CASE("the check in the background is done in slices and keeps what it found") {
    Strand strand;
    CHECK(strand.turns_to_result() >= 5);
    const auto last = store::last_check(strand.node.db).value();
    CHECK_FALSE(last->is_full);
    CHECK(last->record.sound);
    CHECK(last->record.events == 201);
    CHECK(last->record.when == strand.clock.wall());
}

TEST_CASE("damage that the check in the background finds is kept for who asks") {
    Strand strand;
    REQUIRE(strand.node.db.execute("UPDATE event SET sealed = zeroblob(40) WHERE seq = 150").has_value());
    strand.turns_to_result();
    const auto last = store::last_check(strand.node.db).value();
    CHECK_FALSE(last->record.sound);
    CHECK(last->record.events == 150);
}

TEST_CASE("damage that a full check found beside the events stays said after the check in the background") {
    const int turns = Strand().turns_to_result();
    Strand strand;
    REQUIRE(store::put_full_check(strand.node.db, {{1}, 1, 201, false, "Damaged: a page does not open."}));
    strand.check.start();
    for (int turn = 0; turn < turns; ++turn) REQUIRE(strand.io.run_one() == 1);
    strand.check.stop();
    const auto last = store::last_check(strand.node.db).value();
    CHECK_FALSE(last->record.sound);
    CHECK(last->record.sentence == "Damaged: a page does not open.");
}
