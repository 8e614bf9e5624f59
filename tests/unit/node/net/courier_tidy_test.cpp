// When a courier removes the places that nobody came for.

#include <doctest/doctest.h>

#include "tests/support/node/courier_valley.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::CircleId;

namespace {

constexpr std::int64_t day_minutes = 24 * 60;

// A courier that asks the clock at each step; nobody calls.
class Lonely : public Loopback {
public:
    // A place that lasts 30 days without a visit; the last one was so long ago.
    CircleId place(std::int64_t days_ago) {
        const WallTime then{clock.now.ms - days_ago * day_minutes * 60'000};
        const store::CourierCode code{random_.draw<protocol::InviteId>(),
                                      to_bytes(random_.draw<protocol::SignPublic>().view()), 1'000'000, 30,
                                      WallTime{then.ms + 1}};
        must(store::add_courier_code(courier.db, code));
        const CircleId circle = random_.draw<CircleId>();
        const protocol::PlaceMessage words{circle, random_.draw<protocol::SignPublic>(),
                                           random_.draw<protocol::SignPublic>()};
        const store::CourierSelf self{courier.me->noise.pub, courier.me->device.pub};
        REQUIRE(must(store::take_place(courier.db, self, code.id, words, then)).place.has_value());
        return circle;
    }
    // It has begun to count its first day.
    void start() {
        courier.start({}, 1);
        some_looks();
    }
    // So often that it has asked the clock by now.
    void some_looks() {
        for (int step = 0; step < 20; ++step) io.run_one();
    }
    std::int64_t places() { return courier.count("SELECT count(*) FROM courier_place"); }

    CourierNode courier{io, clock, 40};

private:
    SeededRandom random_{50};
};

}  // namespace

TEST_CASE("a courier that was off for a winter removes nothing on its first day, and then what nobody came for") {
    Lonely l;
    const CircleId circle = l.place(200);
    l.start();
    CHECK(l.places() == 1);
    l.clock.pass_minutes(day_minutes - 1);
    l.some_looks();
    CHECK(l.places() == 1);
    l.clock.pass_minutes(1);
    l.some_looks();
    CHECK(l.places() == 0);
    REQUIRE(l.courier.lines.size() == 1);
    CHECK(l.courier.lines.front() == "Nobody came for " + to_hex(circle.view().first(4)) + "; it was removed.");
}

TEST_CASE("whoever comes on a courier's first day after a winter keeps the place") {
    Lonely l;
    const CircleId circle = l.place(200);
    l.start();
    l.clock.pass_minutes(day_minutes / 2);
    must(store::DeskBook(l.courier.db, l.courier.log).note_visit(circle, l.clock.now));
    l.clock.pass_minutes(day_minutes / 2);
    l.some_looks();
    CHECK(l.places() == 1);
    CHECK(l.courier.lines.empty());
}

TEST_CASE("after its first day a courier removes each hour what nobody came for") {
    Lonely l;
    l.start();
    l.clock.pass_minutes(day_minutes);
    l.some_looks();
    l.place(31);
    l.clock.pass_minutes(59);
    l.some_looks();
    CHECK(l.places() == 1);
    l.clock.pass_minutes(1);
    l.some_looks();
    CHECK(l.places() == 0);
}
