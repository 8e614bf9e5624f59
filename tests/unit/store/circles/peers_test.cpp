#include "store/circles/peers.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::Person;

namespace {

// Ada's club, which Ben was let into, and out of again; he has heard of it.
struct Removed {
    test::SeededRandom random{91};
    Person ada = test::make_person("Ada", random);
    Person ben = test::make_person("Ben", random);
    EventLogNode adas{92};
    EventLogNode bens{93};
    CircleId club = adas.found(ada, CircleKind::club, MemberRole::officer);

    Removed() {
        welcome();
        admit();
        say(kind::remove, codec::encode(RemoveBody{ben.id(), "because", {}}));
        carry(adas, bens, club);
    }
    void welcome() {
        REQUIRE(bens.log.add_key(club, adas.log.current_key(club).value()).has_value());
        REQUIRE(store::remember_welcome(bens.db, club, ada.device_id(), ada.noise.pub).has_value());
        REQUIRE(store::remember_address(bens.db, ada.device_id(), "192.0.2.1:7373").has_value());
    }
    void forget_welcome() { REQUIRE(bens.db.execute("DELETE FROM welcome").has_value()); }
    void admit() {
        const AdmitBody body{ben.id(), MemberRole::newcomer, 0, "Ben", false, {ben.certificate()}};
        say(kind::admit, codec::encode(body));
    }
    void say(std::uint16_t number, Bytes payload) {
        REQUIRE(adas.log.append({club, number, std::move(payload), {}}, adas.now).has_value());
    }
    bool ben_talks_with_ada() { return !store::circles_with(bens.db, ben.id(), ada.noise.pub).value().empty(); }
};

}  // namespace

TEST_CASE("somebody who was removed does not talk about the circle any more") {
    Removed r;
    r.forget_welcome();
    CHECK_FALSE(r.ben_talks_with_ada());
    CHECK(store::is_removed(r.bens.db, r.club, r.ben.id()).value());
    CHECK_FALSE(store::is_removed(r.bens.db, r.club, r.ada.id()).value());
}

TEST_CASE("somebody who was removed and is welcomed again talks with whoever let them in") {
    Removed r;
    r.forget_welcome();
    r.admit();
    r.welcome();
    CHECK(r.ben_talks_with_ada());
    CHECK(store::reachable_peers(r.bens.db, r.ben.id(), r.ben.device_id()).value().size() == 1);
    carry(r.adas, r.bens, r.club);
    CHECK_FALSE(store::is_removed(r.bens.db, r.club, r.ben.id()).value());
    CHECK(r.ben_talks_with_ada());
}

TEST_CASE("a welcome by one person does not push out that of another") {
    Removed r;
    const Person cal = test::make_person("Cal", r.random);
    REQUIRE(store::remember_welcome(r.bens.db, r.club, {}, cal.noise.pub).has_value());
    CHECK(r.ben_talks_with_ada());
    CHECK(store::circles_with(r.bens.db, r.ben.id(), cal.noise.pub).value().size() == 1);
}

TEST_CASE("a welcome that knows only the key leaves the device that was known before") {
    Removed r;
    REQUIRE(store::remember_welcome(r.bens.db, r.club, {}, r.ada.noise.pub).has_value());
    CHECK(store::reachable_peers(r.bens.db, r.ben.id(), r.ben.device_id()).value().size() == 1);
}

TEST_CASE("a store with welcomes passes its own check") {
    Removed r;
    std::string found;
    REQUIRE(r.bens.db.query("PRAGMA integrity_check", [&](const store::sqlite::Row& row) { found += row.text(0); })
                .has_value());
    CHECK(found == "ok");
}
