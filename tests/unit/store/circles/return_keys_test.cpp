#include "store/circles/return_keys.hpp"

#include <doctest/doctest.h>

#include "store/circles/new_key.hpp"
#include "tests/support/store/invented_keys.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::Person;

namespace {

constexpr Day today{20'000};

// Kay is under 18; Gus is her guardian, Sue the second adult, and Max mentors her. All of them write at one node.
struct MinorsPath {
    test::SeededRandom random{101};
    Person kay = test::make_person("Kay", random);
    Person gus = test::make_person("Gus", random);
    Person sue = test::make_person("Sue", random);
    Person max = test::make_person("Max", random);
    EventLogNode node{102};
    CircleId path;

    MinorsPath() {
        node.act_as(kay);
        const FoundBody body{CircleKind::path, "path", MemberRole::newcomer, 0, "Kay", true, kay.certificate()};
        auto tx = store::sqlite::Transaction::begin(node.db);
        path = node.log.found_within(codec::encode(body), node.now).value();
        REQUIRE(tx.value().commit().has_value());
        admit(gus, MemberRole::guardian);
        admit(sue, MemberRole::second_adult);
        consent(false);
        admit(max, MemberRole::mentor);
    }
    void say(const Person& by, std::uint16_t number, Bytes payload) {
        node.act_as(by);
        REQUIRE(node.log.append({path, number, std::move(payload), {}}, node.now).has_value());
    }
    void admit(const Person& who, MemberRole role) {
        say(kay, kind::admit, codec::encode(AdmitBody{who.id(), role, 2, who.name, false, {who.certificate()}}));
    }
    void consent(bool withdrawn) { say(gus, kind::consent, codec::encode(ConsentBody{today, today + 10, withdrawn})); }
    KeyId rotate(Readers readers) {
        node.act_as(gus);
        const CircleState state = store::CircleModel::state_of(node.db, path).value();
        const auto next = store::new_key_for(node.log, path, state, readers, gus.id());
        auto tx = store::sqlite::Transaction::begin(node.db);
        REQUIRE(node.log.rotate_within(path, next.value(), node.now).has_value());
        REQUIRE(tx.value().commit().has_value());
        return id_of_key(node.log.current_key(path).value());
    }
    std::vector<KeyId> given(const Person& who, Day day = today) {
        store::KnownStates states(node.db);
        std::vector<KeyId> out;
        const auto keys = store::keys_for_return(states, path, who.certificate(), day);
        for (const AeadKey& key : keys.value()) out.push_back(id_of_key(key));
        return out;
    }
};

}  // namespace

TEST_CASE("a mentor who comes back is given no key once consent is taken back, and the household is given all") {
    MinorsPath p;
    const KeyId founding = id_of_key(p.node.log.current_key(p.path).value());
    CHECK(p.given(p.max) == std::vector{founding});
    p.consent(true);
    CHECK(p.given(p.max).empty());
    const KeyId households = p.rotate(Readers::household);
    CHECK(p.given(p.max).empty());
    for (const Person* who : {&p.kay, &p.gus, &p.sue}) CHECK(p.given(*who) == std::vector{founding, households});
}

TEST_CASE("a mentor who comes back after consent was given again is given the household's key when all have a newer") {
    MinorsPath p;
    const KeyId founding = id_of_key(p.node.log.current_key(p.path).value());
    p.consent(true);
    const KeyId households = p.rotate(Readers::household);
    p.consent(false);
    CHECK(p.given(p.max) == std::vector{founding});
    const KeyId everybodys = p.rotate(Readers::everyone);
    CHECK(p.given(p.max) == std::vector{founding, households, everybodys});
}

TEST_CASE("a mentor who comes back after the last day of the consent is given no key") {
    MinorsPath p;
    CHECK(p.given(p.max, today + 10).size() == 1);
    CHECK(p.given(p.max, today + 11).empty());
    CHECK(p.given(p.sue, today + 11).size() == 1);
}

TEST_CASE("in a club whoever is present is given all keys, and whoever was removed none") {
    test::FoundedCircle w(103, CircleKind::club);
    w.admit(w.node, w.ben, MemberRole::mentor);
    w.admit(w.node, w.cal, MemberRole::newcomer);
    w.rotate(w.node);
    w.say(w.node, kind::remove, codec::encode(RemoveBody{w.cal.id(), "", {}}));
    w.rotate(w.node);
    store::KnownStates states(w.node.db);
    const auto given = [&](const Person& who) {
        return store::keys_for_return(states, w.circle, who.certificate(), today).value().size();
    };
    CHECK(given(w.ben) == 3);
    CHECK(given(w.ada) == 3);
    CHECK(given(w.cal) == 0);
}

TEST_CASE("a lost device is given no key by coming back, and its owner's next one is") {
    test::FoundedCircle w(104, CircleKind::club);
    w.admit(w.node, w.ben, MemberRole::mentor);
    w.say(w.node, kind::revoke, codec::encode(RevokeBody{w.ben.device_id(), "lost", {}}));
    const Person next = test::second_device(w.ben, w.random);
    store::KnownStates states(w.node.db);
    CHECK(store::keys_for_return(states, w.circle, w.ben.certificate(), today).value().empty());
    CHECK(store::keys_for_return(states, w.circle, next.certificate(), today).value().size() == 1);
}

TEST_CASE("300 keys that a newcomer links to hide none from whoever comes back") {
    test::FoundedCircle w(105, CircleKind::club);
    w.admit(w.node, w.ben, MemberRole::mentor);
    w.admit(w.node, w.cal, MemberRole::newcomer);
    w.rotate(w.node);
    const KeyId current = id_of_key(w.node.log.current_key(w.circle).value());
    test::link_to_inventions(w.node, w.circle, w.cal, 300);
    store::KnownStates states(w.node.db);
    const auto given = store::keys_for_return(states, w.circle, w.ben.certificate(), today).value();
    REQUIRE(given.size() == limits::epoch_keys_max);
    CHECK(id_of_key(given.back()) == current);
    CHECK(id_of_key(given[given.size() - 2]) == id_of_key(w.key));
}
