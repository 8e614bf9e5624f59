#include "store/circles/circle_model.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::LogWriter;
using test::Person;

namespace {

struct World : test::FoundedCircle {
    World() : FoundedCircle(81, CircleKind::club) {}
};

// All that the tables say, as one text.
std::string dump(EventLogNode& node) {
    std::string out;
    for (const std::string_view sql :
         {"SELECT hex(circle), kind, name, hex(founder), hex(ctl_heads) FROM circle ORDER BY 1",
          "SELECT hex(member), role, level, name, minor, removed FROM member ORDER BY 1",
          "SELECT hex(device), hex(member), hex(noise), hex(box), label FROM device ORDER BY 1",
          "SELECT hex(log.log), hex(author.member), author.role, author.level, author.seq_max FROM author "
          "JOIN log USING (log_ref) ORDER BY 1"}) {
        REQUIRE(node.db
                    .query(sql,
                           [&](const store::sqlite::Row& row) {
                               for (int i = 0; i < row.column_count(); ++i) out += row.text(i) + "|";
                               out += "\n";
                           })
                    .has_value());
    }
    return out;
}

}  // namespace

TEST_CASE("a founded circle stands in the tables with its founder") {
    World w;
    CHECK(w.node.count("SELECT count(*) FROM circle WHERE kind = 3 AND name = 'circle'") == 1);
    CHECK(w.node.count("SELECT count(*) FROM member WHERE role = 5 AND level = 4 AND removed = 0") == 1);
    CHECK(w.node.count("SELECT count(*) FROM device") == 1);
    CHECK(w.node.count("SELECT count(*) FROM author WHERE role = 5 AND seq_max > 1000000000") == 1);
    CHECK(store::CircleModel::state_of(w.node.db, w.circle).value().founder == w.ada.id());
}

TEST_CASE("a circle that is not known here is not found") {
    World w;
    CHECK(store::CircleModel::state_of(w.node.db, w.random.draw<CircleId>()).error().fault() == Fault::not_found);
}

TEST_CASE("a circle whose founding event has not arrived does not stand in the tables") {
    World w;
    EventLogNode other(83);
    REQUIRE(other.log.add_key(w.circle, w.key).has_value());
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write_note(w.key, "early");
    REQUIRE(other.log.append_run(w.circle, log.run()).value() == Appended::stored);
    CHECK(other.count("SELECT count(*) FROM circle") == 0);
    CHECK(store::CircleModel::state_of(other.db, w.circle).error().fault() == Fault::not_found);
}

TEST_CASE("a member's log counts, a stranger's does not, whichever comes first") {
    World w;
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write_note(w.key, "early");
    REQUIRE(w.node.log.append_run(w.circle, log.run()).has_value());
    CHECK(w.node.count("SELECT count(*) FROM author") == 1);
    w.admit(w.node, w.ben, MemberRole::mentor);
    CHECK(w.node.count("SELECT count(*) FROM author WHERE role = 2 AND level = 2") == 1);
    LogWriter second(w.circle, w.ben.device, w.random);
    second.write_note(w.key, "another log of the same device");
    REQUIRE(w.node.log.append_run(w.circle, second.run()).has_value());
    CHECK(w.node.count("SELECT count(*) FROM author WHERE role = 2") == 2);
}

TEST_CASE("a log whose first event cannot be read counts all the same from its second") {
    World w;
    w.admit(w.node, w.ben, MemberRole::mentor);
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write_note(AeadKey::random(w.random), "under a key that nobody has");
    log.write_note(w.key, "readable");
    REQUIRE(w.node.log.append_run(w.circle, log.run()).has_value());
    CHECK(w.node.count("SELECT count(*) FROM author WHERE role = 2") == 1);
}

TEST_CASE("a removed member's log counts up to the cut") {
    World w;
    w.admit(w.node, w.ben, MemberRole::mentor);
    EventLogNode bens(84);
    w.welcome(bens, w.ben);
    for (int i = 0; i < 3; ++i) w.say(bens, kind::note, {});
    carry(bens, w.node, w.circle);
    const auto heads = w.node.log.heads(w.circle).value();
    std::vector<Cut> cuts;
    for (const LogHead& head : heads) {
        if (head.head.data != w.circle.data) cuts.push_back({head.log, 1, head.head});
    }
    w.say(w.node, kind::remove, codec::encode(RemoveBody{w.ben.id(), "left", cuts}));
    CHECK(w.node.count("SELECT seq_max FROM author WHERE role = 2") == 1);
    CHECK(w.node.count("SELECT removed FROM member WHERE role = 2") == 1);
}

TEST_CASE("a cut beyond every number cuts nothing off, in the tables as in the state") {
    World w;
    w.admit(w.node, w.ben, MemberRole::mentor);
    LogWriter log(w.circle, w.ben.device, w.random);
    log.write_note(w.key, "hello");
    REQUIRE(w.node.log.append_run(w.circle, log.run()).has_value());
    w.say(w.node, kind::remove, codec::encode(RemoveBody{w.ben.id(), "left", {{log.log(), UINT64_MAX, {}}}}));
    CHECK(w.node.count("SELECT count(*) FROM author WHERE role = 2 AND seq_max > 1000000000") == 1);
    CHECK(store::CircleModel::state_of(w.node.db, w.circle).value().counts(w.ben.device_id(), log.log(), 1'000));
}

TEST_CASE("two nodes that got the same events in different order have the same tables") {
    for (std::uint64_t seed = 0; seed < 10; ++seed) {
        CAPTURE(seed);
        World w;
        EventLogNode bens(85);
        w.admit(w.node, w.ben, MemberRole::officer);
        w.welcome(bens, w.ben);
        test::SeededRandom dice(seed);
        for (int i = 0; i < 8; ++i) {
            EventLogNode& at = dice.next() % 2 == 0 ? w.node : bens;
            const Person who = test::make_person("m", w.random);
            switch (dice.next() % 4) {
                case 0:
                    w.say(at, kind::note, {});
                    break;
                case 1:
                    w.say(at, kind::set_role,
                          codec::encode(SetRoleBody{w.ben.id(), MemberRole::officer,
                                                    static_cast<std::uint8_t>(dice.next() % 5)}));
                    break;
                default:
                    w.admit(at, who, MemberRole::newcomer);
                    break;
            }
            if (dice.next() % 3 == 0) carry(bens, w.node, w.circle);
        }
        carry(w.node, bens, w.circle);
        carry(bens, w.node, w.circle);
        CHECK(dump(w.node) == dump(bens));
        // And as if it had all come at once.
        EventLogNode late(86);
        carry(w.node, late, w.circle);
        REQUIRE(late.log.add_key(w.circle, w.key).has_value());
        CHECK(dump(late) == dump(bens));
        REQUIRE(late.db.execute("UPDATE read_model SET version = 0").has_value());
        REQUIRE(late.log.prepare().has_value());
        CHECK(dump(late) == dump(bens));
    }
}

TEST_CASE("a run full of control events is folded once") {
    World w;
    LogWriter log(w.circle, w.ada.device, w.random);
    for (int i = 0; i < 300; ++i) {
        const Person who = test::make_person("m", w.random);
        log.write(w.key,
                  {{},
                   kind::admit,
                   {},
                   codec::encode(AdmitBody{who.id(), MemberRole::newcomer, 0, "m", false, {who.certificate()}})},
                  {EventId{w.circle.data}});
    }
    REQUIRE(w.node.log.append_run(w.circle, log.run()).has_value());
    CHECK(w.node.count("SELECT count(*) FROM member") == 301);
}
