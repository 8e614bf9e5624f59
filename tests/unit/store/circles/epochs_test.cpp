// Epoch keys as a store holds them: which one is written under, how late ones open what waited, who is given one.

#include "protocol/circle/epochs.hpp"

#include <doctest/doctest.h>

#include "store/circles/peers.hpp"
#include "store/circles/wrap_shelf.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::Person;

namespace {

constexpr Day today{20'000};

// Ada's circle, in which Ben and Cal are.
struct World : test::FoundedCircle {
    EventLogNode bens{93};

    explicit World(CircleKind kind = CircleKind::club) : FoundedCircle(91, kind) {
        admit(node, ben, kind == CircleKind::club ? MemberRole::officer : MemberRole::guardian);
        admit(node, cal, MemberRole::mentor);
        welcome(bens, ben);
    }
    KeyId current(EventLogNode& at) { return id_of_key(at.log.current_key(circle).value()); }

    std::optional<Wrap> ask(EventLogNode& at, const Person& who, const KeyId& wanted, const Person& whose) {
        store::KnownStates states(at.db);
        store::StoreShelf shelf(states, at.log, random, who.noise.pub);
        shelf.set_today(today);
        return shelf.copy_for_peer(circle, wanted, tag_of(wanted, whose.box.pub)).value();
    }
    bool is_granted(EventLogNode& at, const Person& who) {
        store::KnownStates states(at.db);
        return store::key_for_device(states, at.log, circle, who.noise.pub, today).value().has_value();
    }
};

// A device of `whose`, before `other`'s own in order of id, that claims the Noise key of `other`.
Person before_with_noise_of(const Person& other, const Person& whose, test::SeededRandom& random) {
    for (;;) {
        Person device = test::second_device(whose, random);
        device.noise = {other.noise.pub, DhSecret()};
        if (device.device_id() < other.device_id()) return device;
    }
}

// Kay is a minor; Gus is her guardian, Sue the second adult and Max the mentor.
struct MinorsPath {
    test::SeededRandom random{95};
    Person kay = test::make_person("Kay", random);
    Person gus = test::make_person("Gus", random);
    Person sue = test::make_person("Sue", random);
    Person max = test::make_person("Max", random);
    EventLogNode node{96};
    store::KnownStates states{node.db};
    CircleId circle = found();

    MinorsPath() {
        for (const auto& [who, role] : std::initializer_list<std::pair<const Person*, MemberRole>>{
                 {&gus, MemberRole::guardian}, {&sue, MemberRole::second_adult}, {&max, MemberRole::mentor}}) {
            say(kay, kind::admit, codec::encode(AdmitBody{who->id(), role, 2, who->name, false, {who->certificate()}}));
        }
    }
    CircleId found() {
        node.act_as(kay);
        const FoundBody body{CircleKind::path, "path", MemberRole::newcomer, 0, "Kay", true, kay.certificate()};
        auto tx = store::sqlite::Transaction::begin(node.db);
        const CircleId out = node.log.found_within(codec::encode(body), node.now).value();
        REQUIRE(tx.value().commit().has_value());
        return out;
    }
    void say(const Person& by, std::uint16_t number, Bytes payload) {
        node.act_as(by);
        REQUIRE(node.log.append({circle, number, std::move(payload), {}}, node.now).has_value());
    }
    bool grants(const Person& who) {
        return store::key_for_device(states, node.log, circle, who.noise.pub, today).value().has_value();
    }
    // What a peer is given who asks for a copy of the key in use, sealed to their own box.
    bool gives(const Person& who) {
        const KeyId key = id_of_key(node.log.current_key(circle).value());
        store::StoreShelf shelf(states, node.log, random, who.noise.pub);
        shelf.set_today(today);
        return shelf.copy_for_peer(circle, key, tag_of(key, who.box.pub)).value().has_value();
    }
};

}  // namespace

TEST_CASE("after a rotation new events are sealed under the new key, the rotation itself first of all") {
    World w;
    const KeyId before = w.current(w.node);
    w.rotate(w.node);
    CHECK(w.current(w.node) != before);
    w.say(w.node, kind::note, {});
    CHECK(w.node.count("SELECT count(DISTINCT key_id) FROM event") == 2);
    CHECK(w.node.count("SELECT count(*) FROM event WHERE key_id = (SELECT epoch FROM circle)") == 2);
}

TEST_CASE("a member who lacks the new key keeps what waits for it, and reads it when it comes") {
    World w;
    w.rotate(w.node);
    w.say(w.node, kind::note, {});
    carry(w.node, w.bens, w.circle);
    CHECK(w.bens.count("SELECT count(*) FROM unread") == 2);
    CHECK(w.bens.log.missing_keys(w.circle).value() == std::vector{w.current(w.node)});
    CHECK(w.current(w.bens) == id_of_key(w.key));
    const auto copy = w.ask(w.node, w.ben, w.current(w.node), w.ben);
    REQUIRE(copy.has_value());
    const auto key = unwrap(*copy, w.current(w.node), w.ben.box);
    REQUIRE(w.bens.log.add_key(w.circle, key.value()).has_value());
    CHECK(w.bens.count("SELECT count(*) FROM unread") == 0);
    CHECK(w.current(w.bens) == w.current(w.node));
}

TEST_CASE("somebody who joins with the newest key walks back along the links to the founding event") {
    World w;
    w.rotate(w.node);
    w.say(w.node, kind::note, {});
    w.rotate(w.node);
    w.rotate(w.node);
    const Person dee = test::make_person("Dee", w.random);
    w.admit(w.node, dee, MemberRole::newcomer);
    for (const bool key_first : {true, false}) {
        EventLogNode dees(94);
        if (key_first) REQUIRE(dees.log.add_key(w.circle, w.node.log.current_key(w.circle).value()).has_value());
        carry(w.node, dees, w.circle);
        if (!key_first) REQUIRE(dees.log.add_key(w.circle, w.node.log.current_key(w.circle).value()).has_value());
        CHECK(dees.count("SELECT count(*) FROM unread") == 0);
        CHECK(dees.count("SELECT count(*) FROM epoch_key") == 4);
        CHECK(w.state(dees) == w.state(w.node));
        CHECK(w.current(dees) == w.current(w.node));
    }
}

TEST_CASE("a removed member gets no new key, neither as a copy nor as a grant, and whoever stays does") {
    World w;
    w.say(w.node, kind::remove, codec::encode(RemoveBody{w.cal.id(), "", {}}));
    w.rotate(w.node);
    CHECK_FALSE(w.ask(w.node, w.cal, w.current(w.node), w.cal).has_value());
    CHECK_FALSE(w.ask(w.node, w.cal, w.current(w.node), w.ben).has_value());
    CHECK_FALSE(w.is_granted(w.node, w.cal));
    CHECK(w.ask(w.node, w.ben, w.current(w.node), w.ben).has_value());
    CHECK(w.is_granted(w.node, w.ben));
}

TEST_CASE("a lost device gets nothing, and stands in no table") {
    World w;
    w.say(w.node, kind::revoke, codec::encode(RevokeBody{w.cal.device_id(), "lost", {}}));
    CHECK_FALSE(w.ask(w.node, w.cal, w.current(w.node), w.cal).has_value());
    CHECK_FALSE(w.is_granted(w.node, w.cal));
    CHECK(w.node.count("SELECT count(*) FROM device") == 2);
    CHECK(store::circles_with(w.node.db, w.ada.id(), w.cal.noise.pub).value().empty());
}

TEST_CASE("a device that was certified after the rotation gets a fresh copy") {
    World w;
    w.rotate(w.node);
    const Person dee = test::make_person("Dee", w.random);
    w.admit(w.node, dee, MemberRole::newcomer);
    const auto copy = w.ask(w.node, dee, w.current(w.node), dee);
    REQUIRE(copy.has_value());
    CHECK(copy->proof.empty());
    CHECK(unwrap(*copy, w.current(w.node), dee.box).has_value());
}

TEST_CASE("a device that a new key had no copy left for gets a fresh one") {
    World w;
    std::vector<Person> bens;
    for (int i = 0; i < 64; ++i) {
        bens.push_back(test::second_device(w.ben, w.random));
        w.say(w.bens, kind::certify, codec::encode(CertifyBody{bens.back().certificate()}));
    }
    carry(w.bens, w.node, w.circle);
    w.rotate(w.node);
    REQUIRE(w.node.count("SELECT count(*) FROM wrap") == 64 + 2);
    for (const Person& device : bens) {
        const auto copy = w.ask(w.node, device, w.current(w.node), device);
        REQUIRE(copy.has_value());
        CHECK(unwrap(*copy, w.current(w.node), device.box).has_value());
    }
}

TEST_CASE("a copy kept for somebody is handed on by anybody in the circle") {
    World w;
    w.rotate(w.node);
    const auto copy = w.ask(w.node, w.ben, w.current(w.node), w.cal);
    REQUIRE(copy.has_value());
    CHECK(unwrap(*copy, w.current(w.node), w.cal.box).has_value());
    CHECK_FALSE(unwrap(*copy, w.current(w.node), w.ben.box).has_value());
}

TEST_CASE("a minor's mentor gets a key with a consent in force alone") {
    MinorsPath w;
    CHECK_FALSE(w.grants(w.max));
    CHECK_FALSE(w.gives(w.max));
    CHECK(w.grants(w.sue));
    CHECK(w.gives(w.sue));
    w.say(w.gus, kind::consent, codec::encode(ConsentBody{today, today + 10, false}));
    CHECK(w.grants(w.max));
    CHECK(w.gives(w.max));
    CHECK(w.node.count("SELECT consent FROM circle") == 20'010);
    w.say(w.gus, kind::consent, codec::encode(ConsentBody{today, today + 10, true}));
    CHECK_FALSE(w.grants(w.max));
    CHECK(w.node.count("SELECT consent FROM circle") == 0);
}

TEST_CASE("a certificate that names somebody else's Noise key takes no copy from them") {
    World w;
    EventLogNode cals(97);
    w.welcome(cals, w.cal);
    w.say(cals, kind::certify, codec::encode(CertifyBody{before_with_noise_of(w.ben, w.cal, w.random).certificate()}));
    carry(cals, w.node, w.circle);
    REQUIRE(w.node.count("SELECT count(*) FROM device") == 4);
    const auto copy = w.ask(w.node, w.ben, w.current(w.node), w.ben);
    REQUIRE(copy.has_value());
    CHECK(unwrap(*copy, w.current(w.node), w.ben.box).has_value());
}

TEST_CASE("a certificate that names somebody else's Noise key takes no grant from them") {
    MinorsPath w;
    w.say(w.max, kind::certify, codec::encode(CertifyBody{before_with_noise_of(w.sue, w.max, w.random).certificate()}));
    REQUIRE(w.node.count("SELECT count(*) FROM device") == 5);
    CHECK(w.grants(w.sue));
}

TEST_CASE("who may not read gets no copy of their own, whatever other device names their Noise key") {
    MinorsPath w;
    w.say(w.sue, kind::certify, codec::encode(CertifyBody{before_with_noise_of(w.max, w.sue, w.random).certificate()}));
    CHECK_FALSE(w.gives(w.max));
}

TEST_CASE("a rotation that is sealed under another key than it brings is none, now and after a rebuild") {
    World w;
    const CircleState now = w.state(w.node);
    RotateBody body;
    body.key = w.random.draw<KeyId>();
    body.members = digest_of(members_of(now, Readers::everyone));
    w.say(w.node, kind::rotate_key, codec::encode(body));
    CHECK(w.state(w.node).epochs.empty());
    REQUIRE(w.node.db.execute("UPDATE read_model SET version = 0").has_value());
    REQUIRE(w.node.log.prepare().has_value());
    CHECK(w.state(w.node).epochs.empty());
    CHECK(w.current(w.node) == id_of_key(w.key));
}

TEST_CASE("a key that is not the circle's own does not come to be written under") {
    World w;
    REQUIRE(w.node.log.add_key(w.circle, AeadKey::random(w.random)).has_value());
    CHECK(w.current(w.node) == id_of_key(w.key));
    w.rotate(w.node);
    const KeyId current = w.current(w.node);
    REQUIRE(w.node.log.add_key(w.circle, AeadKey::random(w.random)).has_value());
    CHECK(w.current(w.node) == current);
}

TEST_CASE("who comes back begins a new log, and what they say in it counts") {
    World w;
    w.say(w.bens, kind::note, {});
    carry(w.bens, w.node, w.circle);
    w.say(w.node, kind::remove, codec::encode(RemoveBody{w.ben.id(), "", {}}));
    w.say(w.bens, kind::note, {});  // unseen
    w.admit(w.node, w.ben, MemberRole::mentor);
    carry(w.node, w.bens, w.circle);
    w.say(w.bens, kind::note, {});
    carry(w.bens, w.node, w.circle);
    CHECK(w.bens.count("SELECT count(*) FROM log WHERE mine = 1") == 2);
    for (EventLogNode* at : {&w.node, &w.bens}) {
        CHECK(at->count("SELECT count(*) FROM author JOIN member USING (circle, member) WHERE member.name = 'Ben'") ==
              1);
        CHECK(at->count("SELECT count(*) FROM author WHERE seq_max > 1000000000") == 2);
    }
}

TEST_CASE("who left is still heard saying so by those who do not know it yet, and by nobody else") {
    World w;
    w.say(w.bens, kind::leave, codec::encode(LeaveBody{}));
    CHECK(w.bens.count("SELECT removed FROM member WHERE name = 'Ben'") == 2);
    CHECK(store::circles_with(w.bens.db, w.ben.id(), w.ada.noise.pub).value() == std::vector{w.circle});
    carry(w.bens, w.node, w.circle);
    CHECK(store::circles_with(w.node.db, w.ada.id(), w.ben.noise.pub).value().empty());
}
