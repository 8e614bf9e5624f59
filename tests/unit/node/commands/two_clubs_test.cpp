#include <doctest/doctest.h>

#include "node/commands/class_view.hpp"
#include "node/commands/club_people.hpp"
#include "node/commands/club_row.hpp"
#include "node/commands/club_shares.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/mock.hpp"
#include "node/commands/own_clubs.hpp"
#include "node/commands/study.hpp"
#include "node/commands/today.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"
#include "store/settings/settings.hpp"
#include "tests/support/node/loopback.hpp"
#include "tests/support/node/practice_pool.hpp"

namespace ladderline {
namespace {

using protocol::CircleId;
using protocol::CircleKind;
using protocol::MemberRole;
namespace kind = protocol::kind;
using namespace test;

// Olive's club, which comes last by name, and Hugh's, which comes first. Ada is under 18 and in Olive's.
struct Two {
    SetClock clock;
    MemberNode olive{clock, 11};
    MemberNode hugh{clock, 12};
    MemberNode ada{clock, 13};
    CircleId valley;
    CircleId hill;

    Two() {
        clock.to("2026-03-02T18:00Z");
        begin_as(olive, "Olive", MemberRole::officer, false, "Valley Club");
        begin_as(hugh, "Hugh", MemberRole::officer, false, "Hill Club");
        begin_as(ada, "Ada", MemberRole::newcomer, true);
        valley = olive.circle(CircleKind::club);
        hill = hugh.circle(CircleKind::club);
        join(olive, ada, "Ada", CircleKind::club, MemberRole::newcomer, true);
    }
    void join_hill(MemberNode& who, const std::string& name, MemberRole role, bool under_18 = false) {
        join(hugh, who, name, CircleKind::club, role, under_18);
    }
    void leave_valley() { must(node::leave_circle(ada.context, must(node::circle_meant(ada.context, "club", "")))); }
    // What somebody said of a kind in a club, as their own node has it.
    std::size_t said(MemberNode& who, const CircleId& club, std::uint16_t number) {
        const auto all = must(node::shown_history(who.db(), club, number));
        return static_cast<std::size_t>(
            std::count_if(all.begin(), all.end(), [&](const auto& one) { return one.by == who.id(); }));
    }
    // As programs noted it that knew one club: a day, and no club.
    void note_old_consent(std::string_view until) {
        for (const std::string& name : must(store::setting_names(ada.db(), "share_with_club_until"))) {
            must(store::forget_setting(ada.db(), name));
        }
        must(store::put_text_setting(ada.db(), "share_with_club_until", until));
    }
};

}  // namespace

TEST_CASE("consent to share with a club ends with leaving it, and the next club gets no row") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2027-11-01")));
    REQUIRE(t.said(t.ada, t.valley, kind::club_row) == 1);
    t.leave_valley();
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    tick_item(t.ada, "00.01");
    CHECK(t.said(t.ada, t.hill, kind::club_row) == 0);
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 1);
}

TEST_CASE("who comes back to a club that they left is asked for consent again") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2027-11-01")));
    t.leave_valley();
    sync(t.ada, t.olive);
    join(t.olive, t.ada, "Ada", CircleKind::club, MemberRole::newcomer, true);
    tick_item(t.ada, "00.01");
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 1);
}

TEST_CASE("of two clubs the one that consent was given to hears the news, and no other") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2027-11-01")));
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    tick_item(t.ada, "00.01");
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 2);
    CHECK(t.said(t.ada, t.hill, kind::club_row) == 0);
}

namespace {

// What runs for somebody about what a club may hold, as their own pages show it.
std::vector<std::string> share_terms(MemberNode& who) {
    std::vector<std::string> out;
    for (const domain::DueLine& line : must(node::way(who.context, "")).due) {
        if (line.sentence.find("twelve facts") != std::string::npos) out.push_back(line.sentence);
    }
    return out;
}

}  // namespace

TEST_CASE("whoever shares with a club is told before it ends, and once it has ended, until they say what they want") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2026-08-01")));
    t.clock.to("2026-06-01T18:00Z");
    CHECK(share_terms(t.ada).empty());
    t.clock.to("2026-07-31T18:00Z");
    CHECK(share_terms(t.ada) ==
          std::vector<std::string>{"Valley Club sees twelve facts of your way until 2026-08-01; agree again with "
                                   "'ladderline share --until DAY', or let it end."});
    t.clock.to("2026-08-02T18:00Z");
    CHECK(share_terms(t.ada) ==
          std::vector<std::string>{"Valley Club has had no news of your way, the twelve facts, since 2026-08-01; agree "
                                   "again with 'ladderline share --until DAY', or end it with --stop."});
    const auto lines = must(node::today(t.ada.context)).parts.at(0).lines;
    CHECK(std::any_of(lines.begin(), lines.end(), [](const auto& one) { return one.day == day("2026-08-01"); }));
    must(node::stop_sharing(t.ada.context));
    CHECK(share_terms(t.ada).empty());
}

TEST_CASE("who is in two clubs is asked which of them may hold the facts") {
    Two t;
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    CHECK(must_fail(node::share_with_club(t.ada.context, day("2026-08-01"))).sentence() ==
          "You are in Valley Club and Hill Club; add the name of the one you mean, or the beginning of it.");
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 0);
    must(node::share_with_club(t.ada.context, must(node::club_called(t.ada.context, "hill")), day("2026-08-01")));
    CHECK(t.said(t.ada, t.hill, kind::club_row) == 1);
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 0);
}

TEST_CASE("when somebody's share with a club ends is for nobody else on their path") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2026-03-10")));
    MemberNode gus(t.clock, 15);
    begin_as(gus, "Gus", MemberRole::guardian);
    join(t.ada, gus, "Gus", CircleKind::path, MemberRole::guardian);
    const auto due = must(node::way(gus.context, "Ada")).due;
    CHECK(std::none_of(due.begin(), due.end(),
                       [](const auto& line) { return line.sentence.find("twelve") != std::string::npos; }));
}

TEST_CASE("an older program's consent stands for the one club that holds the row") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2027-11-01")));
    t.note_old_consent("2027-11-01");
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    tick_item(t.ada, "00.01");
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 2);
    CHECK(t.said(t.ada, t.hill, kind::club_row) == 0);
}

TEST_CASE("an older program's consent stands for no club where two hold a row") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2027-11-01")));
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    const auto row = must(node::shown_by(t.ada.db(), t.valley, kind::club_row, t.ada.id()));
    must(node::say(t.ada.context, t.hill, kind::club_row, row->payload));
    t.note_old_consent("2027-11-01");
    tick_item(t.ada, "00.01");
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 1);
    CHECK(t.said(t.ada, t.hill, kind::club_row) == 1);
}

TEST_CASE("an older program's consent is over for a club that was left") {
    Two t;
    must(node::share_with_club(t.ada.context, day("2027-11-01")));
    t.leave_valley();
    t.note_old_consent("2027-11-01");
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    tick_item(t.ada, "00.01");
    sync(t.ada, t.olive);
    join(t.olive, t.ada, "Ada", CircleKind::club, MemberRole::newcomer, true);
    tick_item(t.ada, "01.20");
    CHECK(t.said(t.ada, t.valley, kind::club_row) == 1);
    CHECK(t.said(t.ada, t.hill, kind::club_row) == 0);
}

namespace {

// Sam studies, is no minor, and is in Olive's club.
struct Study : Two {
    MemberNode sam{clock, 14};

    Study() {
        begin_as(sam, "Sam", MemberRole::newcomer);
        join(olive, sam, "Sam", CircleKind::club, MemberRole::newcomer);
        must(node::import_pool(sam.context, element_2_pool()));
    }
    void answer_next_day() {
        clock.pass_days(1);
        const auto q = must(node::next_question(sam.context, {}));
        must(node::answer(sam.context, {{2}, q.id, q.order, std::nullopt}));
    }
    bool shows(const CircleId& club) {
        const auto view = must(node::shown_by(sam.db(), club, kind::study_share, sam.id()));
        const auto body = view ? protocol::read_payload<protocol::StudyShareBody>(view->payload) : std::nullopt;
        return body && !body->pool.empty();
    }
};

}  // namespace

TEST_CASE("study shown to a club is renewed there, and not in another") {
    Study s;
    must(node::publish_study(s.sam.context, {"club", {}}));
    s.join_hill(s.sam, "Sam", MemberRole::newcomer);
    s.answer_next_day();
    CHECK(s.said(s.sam, s.valley, kind::study_share) == 2);
    CHECK(s.said(s.sam, s.hill, kind::study_share) == 0);
}

TEST_CASE("study is shown to the next club only once it is asked for") {
    Study s;
    must(node::publish_study(s.sam.context, {"club", {}}));
    must(node::leave_circle(s.sam.context, must(node::circle_meant(s.sam.context, "club", ""))));
    s.join_hill(s.sam, "Sam", MemberRole::newcomer);
    s.answer_next_day();
    CHECK(s.said(s.sam, s.hill, kind::study_share) == 0);
}

TEST_CASE("study that an older program showed is renewed in the one club that has it") {
    Study s;
    must(node::publish_study(s.sam.context, {"club", {}}));
    for (const std::string& name : must(store::setting_names(s.sam.db(), "study_share_element"))) {
        must(store::forget_setting(s.sam.db(), name));
    }
    must(store::put_text_setting(s.sam.db(), "study_share_element", "2"));
    s.join_hill(s.sam, "Sam", MemberRole::newcomer);
    s.answer_next_day();
    CHECK(s.said(s.sam, s.valley, kind::study_share) == 2);
    CHECK(s.said(s.sam, s.hill, kind::study_share) == 0);
}

TEST_CASE("who shows study to nobody any more shows it to none of their clubs") {
    Study s;
    s.join_hill(s.sam, "Sam", MemberRole::newcomer);
    must(node::publish_study(s.sam.context, {"Valley", {}}));
    must(node::publish_study(s.sam.context, {"hill", {}}));
    REQUIRE(s.shows(s.valley));
    REQUIRE(s.shows(s.hill));
    must(node::stop_publishing(s.sam.context));
    CHECK_FALSE(s.shows(s.valley));
    CHECK_FALSE(s.shows(s.hill));
    const auto events = s.sam.events();
    must(node::stop_publishing(s.sam.context));
    CHECK(s.sam.events() == events);
}

TEST_CASE("an officer who joins another club is still meant as the officer of their own") {
    Two t;
    t.join_hill(t.olive, "Olive", MemberRole::mentor);
    CHECK(must(node::club_as_officer(t.olive.context)).id == t.valley);
}

TEST_CASE("an officer's own club is meant though they have been in another for longer") {
    Two t;
    MemberNode ben(t.clock, 14);
    begin_as(ben, "Ben", MemberRole::mentor);
    t.join_hill(ben, "Ben", MemberRole::mentor);
    join(t.olive, ben, "Ben", CircleKind::club, MemberRole::officer);
    CHECK(ben.circle(CircleKind::club) == t.valley);
}

TEST_CASE("of two clubs with no seat of an officer the one joined first is meant, whatever they are called") {
    Two t;
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    CHECK(t.ada.circle(CircleKind::club) == t.valley);
}

TEST_CASE("who is in two clubs says by name which they leave") {
    Two t;
    t.join_hill(t.ada, "Ada", MemberRole::newcomer, true);
    CHECK(must_fail(node::circle_to_quit(t.ada.context, "club", "")).sentence() ==
          "You are in Valley Club and Hill Club; add the name of the one you mean, or the beginning of it.");
    CHECK(must(node::circle_to_quit(t.ada.context, "club", "hill")).id == t.hill);
    CHECK(must(node::circle_to_quit(t.ada.context, "club", "Valley Club")).id == t.valley);
    CHECK(must_fail(node::circle_to_quit(t.ada.context, "club", "Club")).sentence() ==
          "You are in no club called 'Club'; there are Valley Club and Hill Club.");
    t.leave_valley();
    CHECK(must(node::circle_to_quit(t.ada.context, "club", "")).id == t.hill);
}

TEST_CASE("clubs of one name are told apart by the first digits of their keys") {
    Two t;
    MemberNode ida(t.clock, 14);
    begin_as(ida, "Ida", MemberRole::officer, false, "Valley Club");
    join(ida, t.ada, "Ada", CircleKind::club, MemberRole::newcomer, true);
    const std::string digits = to_hex(t.valley.view()).substr(0, 8);
    const auto unclear = must_fail(node::circle_to_quit(t.ada.context, "club", "Valley Club"));
    CHECK(unclear.sentence().find("Valley Club (" + digits + ")") != std::string::npos);
    CHECK(must(node::circle_to_quit(t.ada.context, "club", digits)).id == t.valley);
}

namespace {

// Hugh's program was changed: it lets Olive in with the certificate that her own club shows, and brings her the key.
struct Planted : Two {
    QuietHost host{olive.context};

    Planted() {
        protocol::AdmitBody body{
            olive.id(), MemberRole::officer, 4, "Olive", false, {olive.me().certificate},
        };
        must(node::say(hugh.context, hill, kind::admit, protocol::codec::encode(body)));
        const auto key = must(hugh.log().current_key(hill));
        must(host.take_grant({hill, to_bytes(key.view())}, hugh.me().noise.pub));
        send_circle(hugh, olive, hill);
        host.changed(hill);
        host.settled(hill);
    }
};

}  // namespace

TEST_CASE("a club that came unasked is never preferred to one that the owner chose") {
    Planted p;
    CHECK(must(node::club_as_officer(p.olive.context)).id == p.valley);
}

TEST_CASE("no card is shown in a club that came unasked") {
    Planted p;
    CHECK(p.said(p.olive, p.hill, kind::card) == 0);
    node::CardRequest request;
    request.topics = std::vector<std::string>{"nets"};
    CHECK(must(node::change_card(p.olive.context, request)).sentence ==
          "Your card is up to date in every circle you are in but Hill Club, which you did not join: its key came "
          "unasked. 'ladderline leave club' with its name ends that.");
    CHECK(p.said(p.olive, p.hill, kind::card) == 0);
    CHECK(p.said(p.olive, p.valley, kind::card) == 2);
}

TEST_CASE("who joins a club that came unasked before shows their card there") {
    Planted p;
    must(node::leave_circle(p.olive.context, must(node::circle_to_quit(p.olive.context, "club", "Hill"))));
    sync(p.olive, p.hugh);
    p.join_hill(p.olive, "Olive", MemberRole::mentor);
    p.host.settled(p.hill);
    CHECK(p.said(p.olive, p.hill, kind::card) == 1);
}

}  // namespace ladderline
