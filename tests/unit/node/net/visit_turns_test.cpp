#include "node/net/visit_turns.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using node::net::VisitTurns;

namespace {

using Places = std::vector<std::size_t>;

// Couriers of circles, and when something is due there.
struct World {
    test::SeededRandom random{251};
    node::net::VisitTimes times;
    VisitTurns turns{times};
    std::vector<VisitTurns::Place> places;
    MonoTime now{1'000'000};

    store::AtCourier add(bool unasked = false) { return add_to(random.draw<protocol::CircleId>(), unasked); }
    store::AtCourier add_to(const protocol::CircleId& circle, bool unasked = false) {
        places.push_back({{circle, random.draw<protocol::DhPublic>()}, unasked});
        return places.back().at;
    }
    Places begin() { return turns.begin_due(places, now); }
    void wait(std::int64_t ms) { now = now + ms; }
};

}  // namespace

TEST_CASE("four visits run at once, and each that ends makes room for one") {
    World w;
    for (int i = 0; i < 6; ++i) w.add();
    CHECK(w.begin() == Places{0, 1, 2, 3});
    CHECK(w.begin().empty());
    w.turns.ended_well(w.places[1].at, w.now, 0);
    CHECK(w.begin() == Places{4});
}

TEST_CASE("of one circle one courier is visited at a time") {
    World w;
    const auto first = w.add();
    w.add_to(first.circle);
    CHECK(w.begin() == Places{0});
    w.turns.failed(first, w.now);
    CHECK(w.begin() == Places{1});
}

TEST_CASE("a visit of more than a minute goes on, and neither its circle nor the others wait for it") {
    World w;
    const auto first = w.add();
    w.add_to(first.circle);
    for (int i = 0; i < 4; ++i) w.add();
    CHECK(w.begin() == Places{0, 2, 3, 4});
    w.wait(w.times.hold_ms - 1);
    CHECK(w.begin().empty());
    w.wait(1);
    CHECK(w.begin() == Places{1, 5});
    w.wait(w.times.again_ms);
    CHECK(w.begin().empty());  // all of them run
}

TEST_CASE("whom the owner chose goes before whatever came unasked, and who has waited longest goes first") {
    World w;
    for (int i = 0; i < 4; ++i) w.add(true);
    const auto later = w.add();
    w.add();
    w.turns.failed(later, w.now);
    w.wait(w.times.first_retry_ms);
    CHECK(w.begin() == Places{5, 4, 0, 1});
}

TEST_CASE("a courier is due again after its pause, by chance up to a fifth later") {
    World w;
    const auto at = w.add();
    REQUIRE(w.begin() == Places{0});
    w.turns.ended_well(at, w.now, 32'768);
    w.wait(w.times.again_ms + w.times.again_ms / 10 - 1);
    CHECK(w.begin().empty());
    w.wait(1);
    CHECK(w.begin() == Places{0});
}

TEST_CASE("news make a courier due, but none that failed") {
    World w;
    const auto at = w.add();
    const auto other = w.add_to(at.circle);
    REQUIRE(w.begin() == Places{0});
    w.turns.ended_well(at, w.now, 0);
    w.turns.failed(other, w.now);
    w.turns.on_news(at.circle, w.now);
    w.wait(w.times.after_news_ms);
    CHECK(w.begin() == Places{0});
    CHECK(w.turns.take_by_news(at));
    CHECK_FALSE(w.turns.take_by_news(at));
    CHECK_FALSE(w.turns.take_by_news(other));
}

TEST_CASE("when everything is due, what runs is not begun a second time") {
    World w;
    w.add();
    const auto other = w.add();
    REQUIRE(w.begin() == Places{0, 1});
    w.turns.ended_well(other, w.now, 0);
    w.turns.all_are_due();
    CHECK(w.begin() == Places{1});
}
