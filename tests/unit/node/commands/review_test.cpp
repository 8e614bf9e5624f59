#include "node/commands/review.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "node/commands/club_row.hpp"
#include "node/commands/pairing.hpp"
#include "tests/unit/node/commands/review_club.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::ClubRowBody;
using protocol::MemberRole;
using namespace test;
using Club = ReviewClub;

using Names = std::vector<std::string>;

TEST_CASE("the review is for officers") {
    Club c;
    MemberNode& ana = c.enter("Ana", MemberRole::newcomer);
    CHECK(must_fail(node::review(ana.context)).sentence() ==
          "The club's review and pairings are for its officers; ask one of them.");
    CHECK(must_fail(node::question(ana.context, 8)).fault() == Fault::refused);
}

TEST_CASE("a newcomer without a row is unknown, not listed") {
    Club c;
    c.enter("Ana", MemberRole::newcomer);
    const auto review = c.review();
    CHECK(review.unknown == 1);
    CHECK(review.consenting == 0);
    CHECK(review.lines.empty());
    CHECK(review.as_of_sentence == "No newcomer shares a row with the club yet.");
}

TEST_CASE("a row that the newcomer's own node shares is listed") {
    Club c;
    MemberNode& ana = c.enter("Ana", MemberRole::newcomer);
    must(node::share_with_club(ana.context, day("2026-12-31")));
    sync(ana, c.olga);
    const auto review = c.review();
    REQUIRE(review.lines.size() == 1);
    CHECK(review.lines[0].name == "Ana");
    CHECK(review.lines[0].stage == "00");
}

TEST_CASE("the club sees a granted call sign only once its owner puts it on the card") {
    Club c;
    MemberNode& ana = c.enter("Ana", MemberRole::newcomer);
    tick_item(ana, "04.06", "KD0XAA");
    must(node::share_with_club(ana.context, day("2026-12-31")));
    sync(ana, c.olga);
    CHECK(c.review().lines.at(0).call_sign.empty());
    node::CardRequest card;
    card.call_sign = "KD0XAA";
    must(node::change_card(ana.context, card));
    sync(ana, c.olga);
    CHECK(c.review().lines.at(0).call_sign == "KD0XAA");
}

TEST_CASE("a row is not read after the last day of consent") {
    Club c;
    ClubRowBody row = c.row();
    row.consent_until = c.today() + 1;
    c.newcomer("Ana", row);
    c.clock.pass_days(1);
    CHECK(c.review().consenting == 1);
    c.clock.pass_days(1);
    CHECK(c.review().consenting == 0);
    CHECK(c.review().unknown == 1);
}

TEST_CASE("the review is as old as the oldest news in it") {
    Club c;
    c.newcomer("Ana", c.row());
    c.clock.pass_days(5);
    c.newcomer("Ivo", c.row());
    CHECK(c.review().as_of == utc("2026-03-02T18:00Z"));
}

TEST_CASE("who waits for an answer stands before who needs nothing, with the reason") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    ClubRowBody calm = c.row();
    calm.mentor = ben.id();
    ClubRowBody waiting = calm;
    waiting.help_topic = "tone";
    waiting.help_since = c.today() + -10;
    c.newcomer("Ana", calm);
    c.newcomer("Ivo", waiting);
    const auto lines = c.review().lines;
    REQUIRE(lines.size() == 2);
    CHECK(lines[0].name == "Ivo");
    CHECK(lines[0].reasons == Names{"A question has waited 10 days for an answer from us."});
    CHECK(lines[1].reasons.empty());
}

TEST_CASE("a mentor who rests counts as none in the order of the list") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    ClubRowBody row = c.row();
    row.mentor = ben.id();
    c.newcomer("Ana", row);
    CHECK(c.review().lines.at(0).reasons.empty());
    node::CardRequest rest;
    rest.resting = true;
    must(node::change_card(ben.context, rest));
    sync(ben, c.olga);
    CHECK(c.review().lines.at(0).reasons == Names{"Has no mentor at present."});
}

TEST_CASE("silence is measured against the person's own habit, and not at all while they rest") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    MemberNode& ana = c.enter("Ana", MemberRole::newcomer);
    ClubRowBody row = c.row();
    row.mentor = ben.id();
    for (int i = 0; i < 40; ++i) {
        row.last_touch = c.today();
        c.show(ana, row);
        c.clock.pass_days(1);
    }
    CHECK(c.review().lines.at(0).reasons.empty());
    c.clock.pass_days(21);
    const auto reasons = c.review().lines.at(0).reasons;
    REQUIRE(reasons.size() == 1);
    CHECK(reasons[0] == "Quiet for 22 days, which is unusual for this person.");
    row.resting = true;
    c.show(ana, row);
    c.clock.pass_days(22);
    CHECK(c.review().lines.at(0).reasons.empty());
}

// Five who left stage 05 after ten days each.
void five_who_moved_on(Club& c, MemberNode& ben) {
    for (const char* name : {"Uma", "Vic", "Wes", "Xia", "Yan"}) {
        ClubRowBody row = c.row("05");
        row.mentor = ben.id();
        row.stage_since = c.today();
        MemberNode& member = c.newcomer(name, row);
        row.stage = "06";
        row.stage_since = c.today() + 10;
        c.show(member, row);
    }
}

TEST_CASE("who is at a stage longer than everybody before is overdue, once five have left it") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    ClubRowBody row = c.row("05");
    row.mentor = ben.id();
    row.stage_since = c.today() + -30;
    c.newcomer("Ana", row);
    CHECK(c.review().lines.at(0).reasons.empty());
    five_who_moved_on(c, ben);
    const auto line = c.review().lines.at(0);
    CHECK(line.name == "Ana");
    REQUIRE(line.reasons.size() == 1);
    CHECK(line.reasons[0].find("In this stage for 30 days") == 0);
}

TEST_CASE("consent that ends within sixty days is pinned, nearest first") {
    Club c;
    for (const int left : {60, 3, 61}) {
        ClubRowBody row = c.row();
        row.consent_until = c.today() + left;
        c.newcomer("In" + std::to_string(left), row);
    }
    const auto pinned = c.review().pinned;
    REQUIRE(pinned.size() == 2);
    CHECK(pinned[0].days_left == 3);
    CHECK(pinned[1].days_left == 60);
}

TEST_CASE("newcomers without a mentor are named, resting ones are not") {
    Club c;
    c.newcomer("Ana", c.row());
    ClubRowBody resting = c.row();
    resting.resting = true;
    c.newcomer("Ivo", resting);
    CHECK(c.review().without_mentor == Names{"Ana"});
}

TEST_CASE("a mentor with room is listed with what they offer") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    node::CardRequest card;
    card.room = 2;
    card.topics = Names{"nets"};
    card.locator = "FN31pr";
    must(node::change_card(ben.context, card));
    sync(ben, c.olga);
    const auto mentors = c.review().with_room;
    REQUIRE(mentors.size() == 1);
    CHECK(mentors[0].places == 2);
    CHECK(mentors[0].topics == Names{"nets"});
    CHECK(mentors[0].locator == "FN31");
}

TEST_CASE("a mentor who carries six is named, one who carries five is not") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    ClubRowBody row = c.row();
    row.mentor = ben.id();
    for (int i = 0; i < 5; ++i) c.newcomer("Newcomer " + std::to_string(i), row);
    CHECK(c.review().over_five.empty());
    c.newcomer("Newcomer 5", row);
    const auto mentors = c.review().over_five;
    REQUIRE(mentors.size() == 1);
    CHECK(mentors[0].carries == 6);
}

TEST_CASE("on the air means a contact in the last ninety days, and small groups are not spelled out") {
    Club c;
    for (const int ago : {0, 89, 90}) {
        ClubRowBody row = c.row();
        row.last_contact = c.today() + -ago;
        c.newcomer("Ago" + std::to_string(ago), row);
    }
    const auto air = c.review().on_air;
    CHECK(air.on_air == 2);
    CHECK(air.of == 3);
    CHECK(air.sentence ==
          "On the air means: a contact in the last 90 days. Fewer than five newcomers' rows are known, so that nothing "
          "is counted.");
    for (const char* name : {"Dot", "Eli"}) c.newcomer(name, c.row());
    CHECK(c.review().on_air.sentence ==
          "On the air means: a contact in the last 90 days. That is so for fewer than five of 5 newcomers whose row is "
          "known.");
}

TEST_CASE("question 1 names who is past the examination for more than thirty days without a contact") {
    Club c;
    for (const int ago : {30, 31}) {
        ClubRowBody row = c.row("04");
        row.stage_since = c.today() + -ago;
        c.newcomer("Ago" + std::to_string(ago), row);
    }
    ClubRowBody studying = c.row("02");
    studying.stage_since = c.today() + -90;
    c.newcomer("Studying", studying);
    ClubRowBody heard = c.row("09");
    heard.stage_since = c.today() + -90;
    heard.last_contact = c.today() + -1;
    c.newcomer("Heard", heard);
    CHECK(c.who(1) == Names{"Ago31"});
}

TEST_CASE("question 2 counts from the first row that shows the call sign") {
    Club c;
    MemberNode& ana = c.newcomer("Ana", c.row());
    c.clock.pass_days(20);
    ClubRowBody row = c.row();
    row.call_sign = "KD0XAA";
    c.show(ana, row);
    c.clock.pass_days(14);
    CHECK(c.who(2).empty());
    c.clock.pass_days(1);
    CHECK(c.who(2) == Names{"Ana"});
}

TEST_CASE("question 6 names one contact long ago, and not two") {
    Club c;
    ClubRowBody row = c.row();
    row.last_contact = c.today() + -21;
    c.newcomer("Ana", row);
    ClubRowBody earlier = row;
    earlier.last_contact = c.today() + -40;
    MemberNode& ivo = c.newcomer("Ivo", earlier);
    c.show(ivo, row);
    CHECK(c.who(6) == Names{"Ana"});
}

TEST_CASE("question 7 names pairs of the first month without a word for fourteen days") {
    Club c;
    c.enter("Ben", MemberRole::mentor);
    MemberNode& ana = c.newcomer("Ana", c.row());
    c.newcomer("Ivo", c.row());
    must(node::agree_pair(c.olga.context, "Ana", "Ben"));
    must(node::agree_pair(c.olga.context, "Ivo", "Ben"));
    c.clock.pass_days(14);
    ClubRowBody touched = c.row();
    touched.last_touch = c.today() + -1;
    c.show(ana, touched);
    CHECK(c.who(7) == Names{"Ivo"});
    c.clock.pass_days(30);
    CHECK(c.who(7).empty());
}

TEST_CASE("question 8 names who has no mentor, by pairing or by row") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    ClubRowBody row = c.row();
    row.mentor = ben.id();
    c.newcomer("Ana", row);
    c.newcomer("Ivo", c.row());
    c.newcomer("Zoe", c.row());
    must(node::agree_pair(c.olga.context, "Ivo", "Ben"));
    CHECK(c.who(8) == Names{"Zoe"});
}

TEST_CASE("question 9 names who waits for three days or more") {
    Club c;
    for (const int ago : {2, 3}) {
        ClubRowBody row = c.row();
        row.help_topic = "tone";
        row.help_since = c.today() + -ago;
        c.newcomer("Ago" + std::to_string(ago), row);
    }
    CHECK(c.who(9) == Names{"Ago3"});
}

TEST_CASE("question 10 names at most five, longest first") {
    Club c;
    for (int i = 0; i < 6; ++i) {
        ClubRowBody row = c.row();
        row.stage_since = c.today() + -i;
        c.newcomer("Since" + std::to_string(i), row);
    }
    CHECK(c.who(10) == Names{"Since5", "Since4", "Since3", "Since2", "Since1"});
}

TEST_CASE("question 16 names pairings whose review falls into this month") {
    Club c;
    c.enter("Ben", MemberRole::mentor);
    c.newcomer("Ana", c.row());
    must(node::agree_pair(c.olga.context, "Ana", "Ben"));
    CHECK(c.who(16).empty());
    c.clock.to("2026-04-30T12:00Z");
    CHECK(c.who(16) == Names{"Ana and Ben"});
}

TEST_CASE("question 19 says that adults on a path that is not seen are not known") {
    Club c;
    MemberNode& ben = c.enter("Ben", MemberRole::mentor);
    ClubRowBody row = c.row();
    row.mentor = ben.id();
    row.is_minor = true;
    c.newcomer("Mia", row);
    const auto answer = must(node::question(c.olga.context, 19));
    REQUIRE(answer.who.size() == 1);
    CHECK(answer.who[0].detail.find("does not see that path") != std::string::npos);
}

TEST_CASE("question 19 counts a path that is not seen as not known") {
    Club c;
    c.enter("Mia", MemberRole::newcomer, true);
    c.newcomer("Ana", c.row());
    CHECK(must(node::question(c.olga.context, 19)).unknown == 1);
}

TEST_CASE("question 19 names everyone under 18, with a mentor or without, whatever they share") {
    Club c;
    ClubRowBody row = c.row();
    row.is_minor = true;
    c.newcomer("Kay", row);
    c.enter("Mia", MemberRole::newcomer, true);
    c.newcomer("Ana", c.row());
    CHECK(c.who(19) == Names{"Kay", "Mia"});
}

TEST_CASE("question 32 leaves resting people in peace") {
    Club c;
    c.newcomer("Ana", c.row());
    ClubRowBody resting = c.row();
    resting.resting = true;
    c.newcomer("Ivo", resting);
    c.clock.pass_days(20);
    CHECK(c.who(32).empty());
    c.clock.pass_days(1);
    CHECK(c.who(32) == Names{"Ana"});
}

TEST_CASE("question 34 names whose consent is over, question 36 who never shared") {
    Club c;
    ClubRowBody row = c.row();
    row.consent_until = c.today();
    c.newcomer("Ana", row);
    c.enter("Ivo", MemberRole::newcomer);
    c.clock.pass_days(1);
    CHECK(c.who(34) == Names{"Ana"});
    CHECK(c.who(36) == Names{"Ivo"});
}

TEST_CASE("question 35 tells what changed since the review that was held") {
    Club c;
    MemberNode& ana = c.newcomer("Ana", c.row("05"));
    c.newcomer("Ivo", c.row("05"));
    c.clock.pass_days(1);
    must(node::review_held(c.olga.context));
    c.clock.pass_days(1);
    c.show(ana, c.row("06"));
    const auto answer = must(node::question(c.olga.context, 35));
    REQUIRE(answer.who.size() == 1);
    CHECK(answer.who[0].name == "Ana");
    CHECK(answer.who[0].detail == "stage 05 to 06");
}

TEST_CASE("every answer says what was looked at, how many are unknown and what it cannot know") {
    Club c;
    c.newcomer("Ana", c.row());
    c.enter("Ivo", MemberRole::newcomer);
    for (const auto& asked : node::review_questions()) {
        CAPTURE(asked.number);
        const auto answer = must(node::question(c.olga.context, asked.number));
        const bool of_paths = asked.from == node::AnsweredFrom::paths;  // this node shares none
        const bool of_minors = asked.number == 19;                      // of whom there are none
        CHECK(answer.unknown == (of_paths ? 2 : of_minors ? 0 : 1));
        CHECK(answer.as_of.has_value() == !of_paths);
        CHECK_FALSE(answer.looked_at.empty());
        CHECK_FALSE(answer.cannot_know.empty());
        CHECK(answer.question.title == asked.title);
    }
}

TEST_CASE("where no row may be read, only what rests on something else answers 'nobody'") {
    Club c;
    c.enter("Ivo", MemberRole::newcomer);
    CHECK(must(node::question(c.olga.context, 2)).none.starts_with("Not known here"));
    CHECK(must(node::question(c.olga.context, 15)).none == "Nobody, as far as is known.");
    CHECK(must(node::question(c.olga.context, 19)).none == "Nobody in the club is under 18, as far as is known.");
    c.newcomer("Ana", c.row());
    CHECK(must(node::question(c.olga.context, 2)).none == "Nobody, as far as is known.");
}

TEST_CASE("there are 36 questions and no other number") {
    Club c;
    CHECK(node::review_questions().size() == 36);
    for (const int number : {0, 37, -1}) {
        CHECK(must_fail(node::question(c.olga.context, number)).fault() == Fault::bad_input);
    }
}

TEST_CASE("question 17 names pairs that ended and with whom the newcomer is now") {
    Club c;
    MemberNode& ana = c.newcomer("Ana", c.row());
    MemberNode& max = c.enter("Max", MemberRole::mentor);
    MemberNode& mia = c.enter("Mia", MemberRole::mentor);
    must(node::agree_pair(c.olga.context, to_hex(ana.id().view()), to_hex(max.id().view())));
    c.clock.pass_days(20);
    must(node::end_pair(c.olga.context, to_hex(ana.id().view()), to_hex(max.id().view())));
    must(node::agree_pair(c.olga.context, to_hex(ana.id().view()), to_hex(mia.id().view())));
    const auto who = must(node::question(c.olga.context, 17)).who;
    REQUIRE(who.size() == 1);
    CHECK(who[0].name == "Ana and Max");
    CHECK(who[0].detail == "ended on " + to_iso(c.today()) + "; now with Mia");
}

TEST_CASE("question 24 names members nearby who have time within a day") {
    Club c;
    MemberNode& ana = c.newcomer("Ana", c.row("09"));
    const auto card = [&](MemberNode& member, const std::string& locator, const std::string& licence) {
        node::CardRequest request;
        request.locator = locator;
        request.licence_class = licence;
        request.zone = "UTC";
        request.windows = std::vector<protocol::WeeklyWindow>{{1, 19 * 60, 21 * 60}};  // Monday, as today
        must(node::change_card(member.context, request));
        sync(c.olga, member);
    };
    card(ana, "FN31", "");
    card(c.enter("Max", MemberRole::mentor), "FN42", "E");
    card(c.enter("Mia", MemberRole::mentor), "FN31", "G");
    card(c.enter("Tom", MemberRole::mentor), "FN31", "");
    const auto who = must(node::question(c.olga.context, 24)).who;
    REQUIRE(who.size() == 1);
    CHECK(who[0].name == "Ana");
    CHECK(who[0].detail.find("Mia (at most 210 km), Max (") == 0);
    CHECK(who[0].detail.find("Tom") == std::string::npos);
}

TEST_CASE("question 28 names this month's milestones and no other month's") {
    Club c;
    ClubRowBody row = c.row();
    row.last_milestone = c.today() + -1;
    c.newcomer("Ana", row);
    row.last_milestone = c.today() + -10;
    c.newcomer("Ivo", row);
    CHECK(c.who(28) == Names{"Ana"});
}

}  // namespace
}  // namespace ladderline
