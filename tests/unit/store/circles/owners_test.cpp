#include "store/circles/owners.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "store/circles/peers.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;

namespace {

// Ada's club with Ben in it, and Cal's, into which she was taken by a key that Cal brought.
struct TwoClubs : test::FoundedCircle {
    EventLogNode cals{98};
    CircleId other = cals.found(cal, CircleKind::club, MemberRole::officer);

    TwoClubs() : FoundedCircle(96, CircleKind::club) {
        admit(node, ben, MemberRole::mentor);
        REQUIRE(node.log.add_key(other, cals.log.current_key(other).value()).has_value());
        REQUIRE(store::remember_welcome(node.db, other, {}, cal.noise.pub).has_value());
        let_in(ada);
        carry(cals, node, other);
    }
    void let_in(const test::Person& who) {
        const AdmitBody body{who.id(), MemberRole::mentor, 2, who.name, false, {who.certificate()}};
        REQUIRE(cals.log.append({other, kind::admit, codec::encode(body), {}}, cals.now).has_value());
    }
    // That member's certificate for the device names Ben's key for connections.
    void put_bens_key_on(const test::Person& who) {
        REQUIRE(
            node.db.run("UPDATE device SET noise = ?2 WHERE device = ?1", who.device_id(), ben.noise.pub).has_value());
    }
    store::Owners owners(const DhPublic& noise) { return store::owners_of(node.db, ada.id(), noise).value(); }
};

}  // namespace

TEST_CASE("a device is its member's, of a circle that was chosen or of one that came unasked") {
    TwoClubs t;
    CHECK(t.owners(t.ben.noise.pub).members == std::vector{t.ben.id()});
    CHECK_FALSE(t.owners(t.ben.noise.pub).unasked_only);
    CHECK(t.owners(t.cal.noise.pub).members == std::vector{t.cal.id()});
    CHECK(t.owners(t.cal.noise.pub).unasked_only);
}

TEST_CASE("a device that members of both kinds of circle certify belongs to those of the chosen one alone") {
    TwoClubs t;
    t.put_bens_key_on(t.cal);
    CHECK(t.owners(t.ben.noise.pub).members == std::vector{t.ben.id()});
}

TEST_CASE("a device of somebody who was removed, or of nobody, has no owner") {
    TwoClubs t;
    t.say(t.node, kind::remove, codec::encode(RemoveBody{t.ben.id(), "because", {}}));
    CHECK(t.owners(t.ben.noise.pub).members.empty());
    CHECK(t.owners(t.random.draw<DhPublic>()).members.empty());
}

TEST_CASE("a device that was let back is its member's before its certificate comes") {
    TwoClubs t;
    const auto noise = t.random.draw<DhPublic>();
    const auto device = t.random.draw<DeviceId>();
    REQUIRE(store::remember_returning(t.node.db, t.circle, t.ben.id(), device, noise).has_value());
    CHECK(t.owners(noise).members == std::vector{t.ben.id()});
}

TEST_CASE("whoever let the owner in by an invite is of a chosen circle before anything of it has come") {
    TwoClubs t;
    const auto path = t.random.draw<CircleId>();
    const auto host = t.random.draw<DhPublic>();
    const auto granter = t.random.draw<DhPublic>();
    REQUIRE(store::remember_welcome(t.node.db, path, t.random.draw<DeviceId>(), host).has_value());
    REQUIRE(store::remember_welcome(t.node.db, path, {}, granter).has_value());
    CHECK(t.owners(host).members.empty());
    CHECK_FALSE(t.owners(host).unasked_only);
    CHECK(t.owners(granter).unasked_only);
}

TEST_CASE("whoever let the owner in and is no member of the circle that came is nobody") {
    TwoClubs t;
    const auto host = t.random.draw<DhPublic>();
    REQUIRE(store::remember_welcome(t.node.db, t.circle, t.random.draw<DeviceId>(), host).has_value());
    CHECK(t.owners(host).unasked_only);
}

TEST_CASE("devices of one member that granted keys do not count against the device of another they certify") {
    TwoClubs t;
    const auto path = t.random.draw<CircleId>();
    for (std::size_t i = 0; i < store::granters_per_member_max; ++i) {
        const auto noise = t.random.draw<DhPublic>();
        REQUIRE(t.node.db
                    .run("INSERT INTO device (circle, device, member, noise, box, label) VALUES (?1, ?2, ?3, ?4, x'', "
                         "'')",
                         t.other, t.random.draw<DeviceId>(), t.cal.id(), noise)
                    .has_value());
        REQUIRE(store::remember_welcome(t.node.db, path, {}, noise).has_value());
    }
    CHECK_FALSE(store::takes_grant_of(t.node.db, path, t.ada.id(), t.cal.noise.pub).value());
    t.put_bens_key_on(t.cal);
    CHECK(store::takes_grant_of(t.node.db, path, t.ada.id(), t.ben.noise.pub).value());
}

TEST_CASE("circles that were chosen come first, then one of each member who brought any, then the next of each") {
    TwoClubs t;
    test::SeededRandom ids{7};
    std::vector<CircleId> made;
    for (int i = 0; i < 5; ++i) made.push_back(ids.draw<CircleId>());
    std::sort(made.begin(), made.end());
    t.admit(t.node, t.cal, MemberRole::mentor);  // Ada knows Cal from her own club too
    const auto brings = [&](const CircleId& circle, const DhPublic& noise) {
        REQUIRE(store::remember_welcome(t.node.db, circle, {}, noise).has_value());
    };
    brings(made[0], t.random.draw<DhPublic>());  // nobody that Ada knows
    brings(made[1], t.cal.noise.pub);
    brings(made[2], t.cal.noise.pub);
    brings(made[3], t.ben.noise.pub);
    // made[4] has no welcome: its key came in no such way
    std::vector<CircleId> all = made;
    all.push_back(t.other);  // by Cal, and here before those
    all.push_back(t.circle);
    const std::vector<CircleId> expected{t.circle, made[4], t.other, made[3], made[1], made[2], made[0]};
    CHECK(store::by_turns(t.node.db, t.ada.id(), all).value() == expected);
}
