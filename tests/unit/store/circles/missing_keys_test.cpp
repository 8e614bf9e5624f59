// In which order a node asks for keys that it lacks, while liars name keys that nobody has.

#include <doctest/doctest.h>

#include "store/circles/wrap_shelf.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::LogWriter;
using test::Person;

namespace {

// Ada's club, in which Ben and Cal are. Ben's node has the founding key and lacks every later one.
struct World : test::FoundedCircle {
    EventLogNode bens{193};
    store::KnownStates states{bens.db};

    World() : FoundedCircle(191, CircleKind::club) {
        admit(node, ben, MemberRole::officer);
        admit(node, cal, MemberRole::mentor);
        welcome(bens, ben);
    }
    // So many logs of a device, in which so many events each name a key of their own.
    void flood(const SignKeys& device, std::size_t logs, std::size_t events) {
        std::vector<Run> runs;
        for (std::size_t i = 0; i < logs; ++i) {
            LogWriter log(circle, device, random);
            for (std::size_t j = 0; j < events; ++j) log.write_note(AeadKey::random(random), "x");
            runs.push_back(log.run());
        }
        const auto outcomes = bens.log.append_runs(circle, runs).value();
        for (const Appended outcome : outcomes) REQUIRE(outcome == Appended::stored);
    }
    void flood_by_nobodies(std::size_t logs, std::size_t events) {
        for (std::size_t i = 0; i < logs; ++i) flood(make_sign_keys(random), 1, events);
    }
    // Ada makes a new key, which Ben's node hears of.
    KeyId rotate_at_bens() {
        rotate(node);
        carry(node, bens, circle);
        return id_of_key(node.log.current_key(circle).value());
    }
    std::vector<KeyId> missing() {
        store::StoreShelf shelf(states, bens.log, random, ada.noise.pub);
        return shelf.missing_keys(circle).value();
    }
    // The keys of the first request on a connection.
    std::vector<KeyId> first_asked() {
        store::StoreShelf shelf(states, bens.log, random, ada.noise.pub);
        WrapBook book(shelf, dh_keys_from_secret(ben.box.secret.clone()), {circle});
        const Bytes message = book.next_request(circle).value().value();
        std::vector<KeyId> out;
        const auto request = codec::decode<WrapRequestMessage>(ByteView(message).subspan(1)).value();
        for (const auto& wish : request.wishes) out.push_back(wish.key);
        return out;
    }
};

bool holds(const std::vector<KeyId>& keys, const KeyId& key) {
    return std::find(keys.begin(), keys.end(), key) != keys.end();
}

}  // namespace

TEST_CASE("whatever one member names, another's new key is in the first request") {
    World w;
    w.flood(w.cal.device, 1, 4'096);
    w.flood(w.cal.device, 1, 4);
    const KeyId key = w.rotate_at_bens();
    REQUIRE(w.missing().size() == 4'101);
    CHECK(holds(w.first_asked(), key));
}

TEST_CASE("a member with many logs has one turn like everybody") {
    World w;
    w.flood(w.cal.device, 400, 1);
    CHECK(holds(w.first_asked(), w.rotate_at_bens()));
}

TEST_CASE("devices that are nobody's have one member's turn together") {
    World w;
    w.flood_by_nobodies(200, 2);
    CHECK(holds(w.first_asked(), w.rotate_at_bens()));
}

TEST_CASE("a device that was reported lost does not stand before its member's own") {
    World w;
    const Person lost = test::second_device(w.ada, w.random);
    w.say(w.node, kind::certify, codec::encode(CertifyBody{lost.certificate()}));
    w.say(w.node, kind::revoke, codec::encode(RevokeBody{lost.device_id(), "", {}}));
    w.flood(lost.device, 400, 1);
    CHECK(holds(w.first_asked(), w.rotate_at_bens()));
}

TEST_CASE("of one log the newest key is asked for first") {
    World w;
    LogWriter log(w.circle, w.cal.device, w.random);
    const AeadKey older = AeadKey::random(w.random);
    const AeadKey newer = AeadKey::random(w.random);
    for (const AeadKey* key : {&older, &older, &newer, &newer}) log.write_note(*key, "x");
    REQUIRE(w.bens.log.append_run(w.circle, log.run()).value() == Appended::stored);
    CHECK(w.missing() == std::vector{id_of_key(newer), id_of_key(older)});
}

TEST_CASE("however many events name one key, the key alone is looked at, and it opens all of them") {
    World w;
    LogWriter log(w.circle, w.cal.device, w.random);
    const AeadKey other = AeadKey::random(w.random);
    const AeadKey key = AeadKey::random(w.random);
    for (int i = 0; i < 50; ++i) log.write_note(key, "x");
    for (const AeadKey* one : {&other, &key}) log.write_note(*one, "x");
    REQUIRE(w.bens.log.append_run(w.circle, log.run()).value() == Appended::stored);
    CHECK(w.bens.count("SELECT count(*) FROM missing_key") == 2);
    CHECK(w.missing() == std::vector{id_of_key(key), id_of_key(other)});
    REQUIRE(w.bens.log.add_key(w.circle, key).has_value());
    CHECK(w.missing() == std::vector{id_of_key(other)});
    CHECK(w.bens.count("SELECT count(*) FROM unread") == 1);
}

TEST_CASE("no log of a member or of nobody's stands before the others each time") {
    for (const bool is_member : {true, false}) {
        World w;
        if (is_member) w.flood(w.cal.device, 3, 1);
        if (!is_member) w.flood_by_nobodies(3, 1);
        std::set<KeyId> first;
        for (int i = 0; i < 40; ++i) first.insert(w.missing().front());
        CHECK(first.size() == 3);
    }
}
