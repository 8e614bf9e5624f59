#include "node/commands/goings.hpp"

#include <doctest/doctest.h>

#include "node/commands/circles.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/reach.hpp"
#include "node/commands/sees.hpp"
#include "node/commands/today.hpp"
#include "protocol/circle/epochs.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

// Olive's club, with Max the mentor and Ann, an officer too.
struct Club {
    SetClock clock;
    MemberNode olive{clock, 11};
    MemberNode max{clock, 12};
    MemberNode ann{clock, 13};
    protocol::CircleId club;

    Club() {
        clock.to("2026-03-02T18:00Z");
        begin_as(olive, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(max, "Max", MemberRole::mentor);
        begin_as(ann, "Ann", MemberRole::mentor);
        join(olive, max, "Max", CircleKind::club, MemberRole::mentor);
        join(olive, ann, "Ann", CircleKind::club, MemberRole::officer);
        club = olive.circle(CircleKind::club);
        sync(olive, max);
    }
    node::CircleView view(MemberNode& who) { return must(node::circle_meant(who.context, "club", "")); }
    protocol::CircleState state(MemberNode& who) { return must(store::CircleModel::state_of(who.db(), club)); }
    protocol::KeyId key(MemberNode& who) { return protocol::id_of_key(must(who.log().current_key(club))); }
    bool is_in(MemberNode& at, MemberNode& who) { return state(at).present_member(who.me().device_id()).has_value(); }
};

// Kay is under 18; Gus is her guardian, Sue the second adult, and Max mentors her.
struct Path {
    SetClock clock;
    MemberNode kay{clock, 21};
    MemberNode gus{clock, 22};
    MemberNode sue{clock, 23};
    MemberNode max{clock, 24};
    protocol::CircleId path;

    explicit Path(bool with_mentor = true) {
        clock.to("2026-03-02T18:00Z");
        begin_as(kay, "Kay", MemberRole::newcomer, true);
        begin_as(gus, "Gus", MemberRole::guardian);
        begin_as(sue, "Sue", MemberRole::mentor);
        begin_as(max, "Max", MemberRole::mentor);
        path = kay.circle(CircleKind::path);
        join(kay, gus, "Gus", CircleKind::path, MemberRole::guardian);
        join(kay, sue, "Sue", CircleKind::path, MemberRole::second_adult);
        sync(kay, gus);
        must(node::give_consent(gus.context, "Kay", day("2026-06-01")));
        tick_item(gus, domain::to_text(domain::known_item::guardian_agrees), "", "Kay");
        sync(kay, gus);
        if (with_mentor) join(kay, max, "Max", CircleKind::path, MemberRole::mentor);
        sync(kay, gus);
    }
    bool reads(MemberNode& who) {
        const auto state = must(store::CircleModel::state_of(kay.db(), path));
        const auto key = protocol::id_of_key(must(kay.log().current_key(path)));
        return protocol::may_read(state, who.me().device_id(), key, kay.context.today());
    }
};

TEST_CASE("a removed member gets no new key, and everybody else does") {
    Club c;
    const auto before = c.key(c.olive);
    must(node::remove_person(c.olive.context, c.view(c.olive), "Max", "moved away"));
    CHECK(c.key(c.olive) != before);
    sync(c.olive, c.ann);
    CHECK(c.key(c.ann) == c.key(c.olive));
    CHECK_FALSE(c.is_in(c.ann, c.max));
    send_circle(c.olive, c.max, c.club);
    send_keys(c.olive, c.max, c.club);
    CHECK(c.key(c.max) == before);
}

TEST_CASE("a path hears of the paper key of each member once, and a club does not") {
    Path p;
    for (int time = 0; time < 2; ++time) must(node::settle_circle(p.kay.context, p.path));
    const auto state = must(store::CircleModel::state_of(p.kay.db(), p.path));
    CHECK(state.paper_boxes.size() == 1);
    CHECK(state.paper_boxes.contains(p.kay.id()));
    Club c;
    must(node::settle_circle(c.max.context, c.club));
    CHECK(c.state(c.max).paper_boxes.empty());
}

TEST_CASE("lines that wait for a key are said, not hidden") {
    Club c;
    CHECK(must(node::sight_of(c.max.context, c.view(c.max))).notes.empty());
    must(node::rotate(c.olive.context, c.view(c.olive)));
    send_circle(c.olive, c.max, c.club);
    const auto notes = must(node::sight_of(c.max.context, c.view(c.max))).notes;
    REQUIRE(notes.size() == 1);
    CHECK(notes.front().find("wait for a key") != std::string::npos);
}

TEST_CASE("who leaves is gone, and the next officer who hears of it changes the key") {
    Club c;
    const auto before = c.key(c.olive);
    must(node::leave_circle(c.max.context, c.view(c.max)));
    CHECK(c.key(c.max) == before);
    sync(c.max, c.olive);
    CHECK_FALSE(c.is_in(c.olive, c.max));
    must(node::settle_circle(c.olive.context, c.club));
    CHECK(c.key(c.olive) != before);
    sync(c.olive, c.max);
    CHECK(c.key(c.max) == before);
    CHECK(must_fail(node::circle_meant(c.max.context, "club", "")).fault() == Fault::not_found);
}

TEST_CASE("two officers who change the key side by side come to write under one, and end there") {
    Club c;
    must(node::leave_circle(c.max.context, c.view(c.max)));
    sync(c.max, c.olive);
    sync(c.max, c.ann);
    must(node::settle_circle(c.olive.context, c.club));
    must(node::settle_circle(c.ann.context, c.club));
    CHECK(c.key(c.olive) != c.key(c.ann));
    sync(c.olive, c.ann);
    CHECK(c.key(c.olive) == c.key(c.ann));
    const auto events = c.olive.events();
    must(node::settle_circle(c.olive.context, c.club));
    must(node::settle_circle(c.ann.context, c.club));
    CHECK(c.olive.events() == events);
}

TEST_CASE("a club's key is changed after ninety days") {
    Club c;
    const auto before = c.key(c.olive);
    c.clock.pass_days(89);
    must(node::rotate_where_due(c.olive.context));
    CHECK(c.key(c.olive) == before);
    c.clock.pass_days(1);
    must(node::rotate_where_due(c.max.context));
    CHECK(c.key(c.max) == before);
    must(node::rotate_where_due(c.olive.context));
    CHECK(c.key(c.olive) != before);
}

TEST_CASE("a circle whose key cannot be made keeps no other circle from its new key") {
    for (const bool first_fails : {true, false}) {
        Path p(false);
        MemberNode lee{p.clock, 25};
        begin_as(lee, "Lee", MemberRole::newcomer, true);
        join(lee, p.gus, "Gus", CircleKind::path, MemberRole::guardian);
        const auto lees = lee.circle(CircleKind::path);
        const auto key_of = [&](const protocol::CircleId& circle) {
            return protocol::id_of_key(must(p.gus.log().current_key(circle)));
        };
        const auto& broken = first_fails ? p.path : lees;
        const auto& whole = first_fails ? lees : p.path;
        p.clock.pass_days(90);
        must(p.gus.db().run("DELETE FROM control_event WHERE circle = ?1", broken));
        const auto before = key_of(whole);
        CHECK(must_fail(node::rotate_where_due(p.gus.context)).fault() == Fault::not_found);
        CHECK(key_of(whole) != before);
    }
}

TEST_CASE("who was removed can be invited again, and is heard again") {
    Club c;
    must(node::remove_person(c.olive.context, c.view(c.olive), "Max", ""));
    send_circle(c.olive, c.max, c.club);
    join(c.olive, c.max, "Max", CircleKind::club, MemberRole::mentor);
    CHECK(c.is_in(c.max, c.max));
    must(node::settle_circle(c.max.context, c.club));
    sync(c.max, c.olive);
    CHECK(c.is_in(c.olive, c.max));
    CHECK(c.key(c.max) == c.key(c.olive));
    CHECK(must(node::find_person(c.olive.context, c.club, "Max")).card.has_value());
}

TEST_CASE("a lost device is shut out of every circle by the officer, and its owner keeps their seat") {
    Club c;
    const std::string key = to_hex(c.max.me().device_id().view()).substr(0, 8);
    const auto before = c.key(c.olive);
    must(node::report_lost(c.olive.context, key, "Max"));
    CHECK_FALSE(c.is_in(c.olive, c.max));
    CHECK(must(node::find_person(c.olive.context, c.club, "Max")).name == "Max");
    CHECK(c.key(c.olive) != before);
    CHECK(must_fail(node::report_lost(c.olive.context, key, "Max")).fault() == Fault::not_found);
}

// Olive, an officer of her club, mentors Kay, whose guardian is Max Dale. Another Max is in the club.
struct TwoMaxes {
    SetClock clock;
    MemberNode olive{clock, 31};
    MemberNode kay{clock, 32};
    MemberNode dale{clock, 33};
    MemberNode other{clock, 34};

    explicit TwoMaxes(const std::string& other_name = "Max Berg") {
        clock.to("2026-03-02T18:00Z");
        begin_as(olive, "Olive", MemberRole::officer, false, "Example Club");
        begin_as(kay, "Kay", MemberRole::newcomer);
        begin_as(dale, "Max Dale", MemberRole::guardian);
        begin_as(other, other_name, MemberRole::mentor);
        join(kay, dale, "Max Dale", CircleKind::path, MemberRole::guardian);
        join(kay, olive, "Olive", CircleKind::path, MemberRole::mentor);
        join(olive, other, other_name, CircleKind::club, MemberRole::mentor);
    }
    void dale_joins_the_club() { join(olive, dale, "Max Dale", CircleKind::club, MemberRole::mentor); }
    bool in_club(MemberNode& who) {
        const auto state = must(store::CircleModel::state_of(olive.db(), olive.circle(CircleKind::club)));
        return state.present_member(who.me().device_id()).has_value();
    }
};

TEST_CASE("of two people in two circles whom a name could mean neither loses a device") {
    TwoMaxes m;
    const auto before = m.olive.events();
    CHECK(must_fail(node::report_lost(m.olive.context, "test node", "Max")).sentence() ==
          "'Max' could be Max Dale, Max Berg; give more of the name.");
    CHECK(m.olive.events() == before);
}

TEST_CASE("a name that is unclear in one circle is unclear, though it is clear in another") {
    TwoMaxes m;
    m.dale_joins_the_club();
    const auto before = m.olive.events();
    CHECK(must_fail(node::report_lost(m.olive.context, "test node", "Max")).sentence() ==
          "'Max' could be Max Dale, Max Berg; give more of the name.");
    CHECK(m.olive.events() == before);
}

TEST_CASE("whose device is lost is said, and only theirs is shut out") {
    TwoMaxes m;
    m.dale_joins_the_club();
    CHECK(must(node::report_lost(m.olive.context, "test node", "Berg"))
              .sentence.starts_with("'test node' of Max Berg is shut out of 1 circle for good."));
    CHECK_FALSE(m.in_club(m.other));
    CHECK(m.in_club(m.dale));
}

TEST_CASE("a whole name goes before a part of one, also in another circle") {
    TwoMaxes m("Max");
    must(node::report_lost(m.olive.context, "test node", "Max"));
    CHECK_FALSE(m.in_club(m.other));
}

TEST_CASE("an address is noted for nobody where the name could mean two people in two circles") {
    TwoMaxes m;
    CHECK(must_fail(node::reach(m.olive.context, "Max", "192.168.1.20:7300")).sentence() ==
          "'Max' could be Max Dale, Max Berg; give more of the name.");
}

TEST_CASE("a lost device of somebody whom nobody knows is refused with the name") {
    Club c;
    CHECK(must_fail(node::report_lost(c.olive.context, "test node", "Xaver")).sentence() ==
          "Nobody called 'Xaver' is in a circle with you.");
}

TEST_CASE("a device that was reported lost in the club is not let onto a path") {
    Club c;
    MemberNode ada{c.clock, 14};
    begin_as(ada, "Ada", MemberRole::newcomer);
    join(c.olive, ada, "Ada", CircleKind::club, MemberRole::newcomer);
    must(node::report_lost(c.olive.context, to_hex(c.max.me().device_id().view()).substr(0, 8), "Max"));
    sync(c.olive, ada);
    CHECK(must_fail(node::let_onto_path(ada.context, "Max", MemberRole::mentor, 3)).sentence() ==
          "Every device of Max is reported lost; let them add one in the club first. Nobody was let in.");
}

TEST_CASE("what nobody may do is refused with the reason, and nothing is stored") {
    Club c;
    const auto olives = c.olive.events();
    const auto maxs = c.max.events();
    CHECK(must_fail(node::remove_person(c.max.context, c.view(c.max), "Olive", "")).sentence() ==
          "Only a club officer can take somebody else out of the club.");
    CHECK(must_fail(node::rotate(c.max.context, c.view(c.max))).sentence() ==
          "Only a club officer can change the club's key.");
    CHECK(must_fail(node::report_lost(c.max.context, "test node", "")).sentence() ==
          "A device cannot report itself lost; use another of yours, or ask an officer.");
    CHECK(must_fail(node::leave_circle(c.olive.context, must(node::own_circle(c.olive.context, CircleKind::desk))))
              .fault() == Fault::refused);
    CHECK(must_fail(node::circle_meant(c.olive.context, "house", "")).sentence() ==
          "'house' is no circle; say club, path or desk.");
    CHECK(c.olive.events() == olives);
    CHECK(c.max.events() == maxs);
}

TEST_CASE("a club's only officer does not leave it alone") {
    Club c;
    must(node::leave_circle(c.ann.context, c.view(c.ann)));
    sync(c.ann, c.olive);
    CHECK(must_fail(node::leave_circle(c.olive.context, c.view(c.olive))).sentence() ==
          "You are this club's only officer; let another one in before you leave. Nothing was changed.");
}

TEST_CASE("no mentor is let onto a minor's path without a consent in force") {
    Path p(false);
    p.clock.to("2027-05-01T18:00Z");
    node::InviteRequest request;
    const auto code = must(node::parse_code(must(node::invite(p.kay.context, request)).code));
    const auto before = p.kay.events();
    const auto welcome = must(node::let_in(p.kay.context, code.id, join_message(p.max, "Max")));
    CHECK_FALSE(welcome.joined.has_value());
    CHECK(p.kay.events() == before);
}

TEST_CASE("a consent that is taken back gives the household a key of its own, and comes back with one for all") {
    Path p;
    CHECK(p.reads(p.max));
    must(node::give_consent(p.gus.context, "Kay", std::nullopt));
    sync(p.gus, p.kay);
    CHECK_FALSE(p.reads(p.max));
    CHECK(p.reads(p.sue));
    sync(p.kay, p.max);
    CHECK_FALSE(
        must(p.max.log().find_key(p.path, protocol::id_of_key(must(p.kay.log().current_key(p.path))))).has_value());
    must(node::give_consent(p.gus.context, "Kay", day("2026-06-01")));
    sync(p.gus, p.kay);
    CHECK(p.reads(p.max));
    sync(p.kay, p.max);
    CHECK(must(p.max.log().find_key(p.path, protocol::id_of_key(must(p.kay.log().current_key(p.path))))).has_value());
    CHECK(must(store::CircleModel::state_of(p.max.db(), p.path)) ==
          must(store::CircleModel::state_of(p.kay.db(), p.path)));
}

TEST_CASE("a consent that is taken back is the minor's next step, which the mentor sees too, until it is given again") {
    Path p;
    must(node::give_consent(p.gus.context, "Kay", std::nullopt));
    sync(p.gus, p.kay);
    sync(p.kay, p.max);
    for (const auto& [who, newcomer] : {std::pair(&p.kay, ""), std::pair(&p.gus, "Kay"), std::pair(&p.max, "Kay")}) {
        const auto next = must(node::way(who->context, newcomer)).progress.next;
        REQUIRE(next.has_value());
        CHECK(next->item == domain::known_item::guardian_agrees);
        CHECK(next->why.starts_with("The guardian's consent was taken back"));
        const auto today = must(node::today(who->context));
        CHECK(today.parts.at(0).lines.at(0).sentence.find("The guardian's consent was taken back") !=
              std::string::npos);
    }
    must(node::give_consent(p.gus.context, "Kay", day("2026-06-01")));
    CHECK(must(node::way(p.gus.context, "Kay")).progress.next->item != domain::known_item::guardian_agrees);
}

TEST_CASE("everybody on a minor's path is told before the guardian's consent ends") {
    Path p;
    p.clock.to("2026-05-30T12:00Z");
    for (const auto& [who, newcomer] : {std::pair(&p.kay, ""), std::pair(&p.gus, "Kay")}) {
        const auto due = must(node::way(who->context, newcomer)).due;
        CHECK(std::any_of(due.begin(), due.end(), [](const domain::DueLine& d) {
            return d.sentence.starts_with("The guardian's consent runs until 2026-06-01");
        }));
    }
}

TEST_CASE("when a minor's guardian leaves, the mentor is left out of the next key") {
    Path p;
    must(node::leave_circle(p.gus.context, must(node::circle_meant(p.gus.context, "path", "Kay"))));
    sync(p.gus, p.kay);
    must(node::settle_circle(p.kay.context, p.path));
    CHECK_FALSE(p.reads(p.max));
    CHECK(p.reads(p.sue));
}

TEST_CASE("who has left a path is no longer reminded of it, and what they hold of it still goes out as files") {
    Path p;
    REQUIRE(must(node::ways_of_others(p.max.context)).size() == 1);
    must(node::leave_circle(p.max.context, must(node::circle_meant(p.max.context, "path", "Kay"))));
    CHECK(must(node::ways_of_others(p.max.context)).empty());
    CHECK(must(node::ways_gone_from(p.max.context)).size() == 1);
}

TEST_CASE("sees names every member's machines, and who is gone") {
    Club c;
    must(node::remove_person(c.olive.context, c.view(c.olive), "Max", ""));
    const auto sight = must(node::sight_of(c.olive.context, c.view(c.olive)));
    REQUIRE(sight.people.size() == 2);
    for (const node::PersonSight& person : sight.people) {
        CHECK(person.reads);
        CHECK(person.devices.size() == 1);
    }
    CHECK(sight.gone == std::vector<std::string>{"Max"});
    CHECK_FALSE(sight.key_due);
}

}  // namespace
}  // namespace ladderline
