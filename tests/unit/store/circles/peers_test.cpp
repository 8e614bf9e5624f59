#include "store/circles/peers.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "store/schema/schema.hpp"
#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/founded_circle.hpp"
#include "tests/support/store/vault_box.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::LogWriter;
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

// Ada's club, in which Ben is; Ada let a new device of his back in, whose certificate it brings itself.
struct LetBack : test::FoundedCircle {
    Person next = test::second_device(ben, random);
    LogWriter nexts{circle, next.device, random};

    LetBack() : FoundedCircle(95, CircleKind::club) {
        admitted = admit(node, ben, MemberRole::mentor);
        remember();
        REQUIRE(store::remember_address(node.db, next.device_id(), "192.0.2.7:7373").has_value());
    }
    void remember() {
        REQUIRE(store::remember_returning(node.db, circle, ben.id(), next.device_id(), next.noise.pub).has_value());
    }
    void certify() {
        nexts.write(key, {{node.now, 0}, kind::certify, {}, codec::encode(CertifyBody{next.certificate()})},
                    {admitted});
        REQUIRE(node.log.append_run(circle, nexts.run()).value() == Appended::stored);
    }
    void revoke() { say(node, kind::revoke, codec::encode(RevokeBody{next.device_id(), "lost", {}})); }
    // Both: Ada's node talks about the club when that device calls, and calls it.
    bool is_peer() {
        const bool is_heard = !store::circles_with(node.db, ada.id(), next.noise.pub).value().empty();
        const auto peers = store::reachable_peers(node.db, ada.id(), ada.device_id()).value();
        CHECK(is_heard == !peers.empty());
        return is_heard;
    }

    EventId admitted;
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

TEST_CASE("a device that was let back is a peer before its certificate and with it") {
    LetBack w;
    CHECK(w.is_peer());
    w.certify();
    CHECK(w.is_peer());
}

TEST_CASE("a device that was let back and is lost is no peer any more, nor after a rebuild") {
    LetBack w;
    w.certify();
    w.revoke();
    CHECK_FALSE(w.is_peer());
    REQUIRE(w.node.db.execute("UPDATE read_model SET version = 0").has_value());
    REQUIRE(w.node.log.prepare().has_value());
    CHECK_FALSE(w.is_peer());
}

TEST_CASE("a lost device that an older store still counts as let back is no peer after a rebuild") {
    LetBack w;
    w.certify();
    w.revoke();
    w.remember();
    REQUIRE(w.node.db.execute("UPDATE read_model SET version = 0").has_value());
    REQUIRE(w.node.log.prepare().has_value());
    CHECK_FALSE(w.is_peer());
}

TEST_CASE("a device that was let back and is lost in one step with its certificate is no peer any more") {
    LetBack w;
    EventLogNode bens{96};
    w.welcome(bens, w.ben);
    REQUIRE(bens.log.append({w.circle, kind::certify, codec::encode(CertifyBody{w.next.certificate()}), {}}, bens.now)
                .has_value());
    REQUIRE(
        bens.log
            .append({w.circle, kind::revoke, codec::encode(RevokeBody{w.next.device_id(), "lost", {}}), {}}, bens.now)
            .has_value());
    carry(bens, w.node, w.circle);
    CHECK_FALSE(w.is_peer());
}

TEST_CASE("a lost device is no peer again when its log forks and takes certificate and loss away") {
    LetBack w;
    LogWriter other = w.nexts;
    w.certify();
    w.revoke();
    other.write_note(w.key, "the other branch", {w.admitted});
    CHECK(w.node.log.append_run(w.circle, other.run()).value() == Appended::forked);
    REQUIRE(w.state(w.node).revoked.empty());
    CHECK_FALSE(w.is_peer());
}

TEST_CASE("a device that the circle shows is not remembered as let back") {
    LetBack w;
    w.certify();
    w.remember();
    CHECK(w.node.count("SELECT count(*) FROM returning_device") == 0);
}

TEST_CASE("what was not kept is known while the disk is full, and forgotten once it is kept") {
    test::VaultBox box;
    store::sqlite::Database db = box.must_open(true);
    REQUIRE(store::bring_up_to_date(db).has_value());
    store::CircleModel model;
    store::EventLog log(db, box.random, {&model});
    REQUIRE(log.prepare().has_value());
    const auto noise = box.random.draw<DhPublic>();
    box.memory.arm(test::DiskFault::full, 1, true);
    REQUIRE_FALSE(store::remember_address(db, {}, "192.0.2.1:7373").has_value());
    const store::Reached reached{store::ReachStep::talk, {1'790'000'000'000}, "The disk is full."};
    REQUIRE(store::note_unkept(db, noise, reached).has_value());
    const auto unkept = store::all_unkept(db).value();
    REQUIRE(unkept.size() == 1);
    CHECK_FALSE(unkept[0].device.has_value());
    CHECK(unkept[0].reached.step == store::ReachStep::talk);
    CHECK(unkept[0].reached.note == "The disk is full.");
    REQUIRE(store::end_unkept(db, noise).has_value());
    CHECK(store::all_unkept(db).value().empty());
}
