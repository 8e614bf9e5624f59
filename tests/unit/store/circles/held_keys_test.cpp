#include "store/circles/held_keys.hpp"

#include <doctest/doctest.h>

#include "store/circles/neighbours.hpp"
#include "tests/support/store/invented_keys.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;

namespace {

// A club with Ben, a mentor, and Cal, who has just come; and what it is written under, the newest in front.
struct World : test::FoundedCircle {
    std::vector<KeyId> brought{id_of_key(key)};

    World() : FoundedCircle(211, CircleKind::club) {
        admit(node, ben, MemberRole::mentor);
        admit(node, cal, MemberRole::newcomer);
    }
    void rotate_once() {
        node.act_as(ada);
        node.now.ms += 1000;
        rotate(node);
        brought.insert(brought.begin(), id_of_key(node.log.current_key(circle).value()));
    }
    std::vector<KeyId> held(EventLogNode& at, std::size_t count_max) {
        std::vector<KeyId> out;
        const auto keys = store::held_keys(at.db, circle, count_max);
        for (const AeadKey& one : keys.value()) out.push_back(id_of_key(one));
        return out;
    }
};

}  // namespace

TEST_CASE("keys that a newcomer links to stand behind all that the circle was written under") {
    World w;
    w.rotate_once();
    w.rotate_once();
    test::link_to_inventions(w.node, w.circle, w.cal, 40);
    CHECK(w.held(w.node, 3) == w.brought);
    CHECK(w.held(w.node, 1'000).size() == 43);
}

TEST_CASE("keys that are found by walking back are in order of the changes, not of their coming here") {
    World w;
    for (int i = 0; i < 3; ++i) w.rotate_once();
    EventLogNode dees(213);
    carry(w.node, dees, w.circle);
    REQUIRE(dees.log.add_key(w.circle, w.node.log.current_key(w.circle).value()).has_value());
    CHECK(w.held(dees, 9) == w.brought);
}

TEST_CASE("a key that was granted is held before the circle has come") {
    World w;
    EventLogNode dees(213);
    REQUIRE(dees.log.add_key(w.circle, w.key).has_value());
    CHECK(w.held(dees, 9) == std::vector{id_of_key(w.key)});
}

TEST_CASE("a change of key that a newcomer makes brings none") {
    World w;
    w.rotate_once();
    const AeadKey made_up = AeadKey::random(w.random);
    const AeadKey current = w.node.log.current_key(w.circle).value();
    const std::vector<EventId> heads = w.state(w.node).heads;
    test::LogWriter log(w.circle, w.cal.device, w.random);
    RotateBody body{w.brought[0], {}, Readers::everyone, {}, {}, {seal_link(w.circle, current, made_up)}};
    log.write(current, {{w.node.now, 0}, kind::rotate_key, {}, codec::encode(body)}, heads);
    body = {id_of_key(made_up), w.brought, Readers::everyone, digest_of({w.ada.id(), w.ben.id(), w.cal.id()}), {}, {}};
    log.write(made_up, {{w.node.now, 0}, kind::rotate_key, {}, codec::encode(body)}, heads);
    REQUIRE(w.node.log.append_run(w.circle, log.run()).value() == Appended::stored);
    REQUIRE(w.held(w.node, 9).back() == id_of_key(made_up));
    CHECK(w.held(w.node, 2) == w.brought);
}

TEST_CASE("inventions of thousands of keys leave the one that is written under") {
    World w;
    w.rotate_once();
    test::link_to_inventions(w.node, w.circle, w.cal, 2'000);
    CHECK(id_of_key(w.node.log.current_key(w.circle).value()) == w.brought.front());
}

TEST_CASE("a beacon is tried with nine keys of a circle at most, whatever is linked to") {
    World w;
    w.rotate_once();
    test::link_to_inventions(w.node, w.circle, w.cal, 40);
    const auto around = store::neighbourhoods(w.node.db, w.ada.id(), w.ada.device_id()).value();
    REQUIRE(around.size() == 1);
    CHECK(around[0].keys.size() == 9);
    CHECK(id_of_key(around[0].keys[0]) == w.brought[0]);
    CHECK(id_of_key(around[0].keys[1]) == w.brought[1]);
}
