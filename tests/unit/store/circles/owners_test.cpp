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
};

}  // namespace

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
