#include "node/commands/handover.hpp"

#include <doctest/doctest.h>

#include "node/commands/pair_requests.hpp"
#include "node/commands/pairing.hpp"
#include "tests/unit/node/commands/review_club.hpp"

namespace ladderline {
namespace {

using protocol::ClubRowBody;
using protocol::MemberRole;
using namespace test;

// Olga has paired Ana with Ben, and Vera is to follow her.
struct TwoOfficers : ReviewClub {
    MemberNode& ben = enter("Ben", MemberRole::mentor);
    MemberNode& vera = enter("Vera", MemberRole::mentor);
    MemberNode& ana = newcomer("Ana", row());

    TwoOfficers() {
        must(node::agree_pair(olga.context, "Ana", "Ben"));
        clock.pass_days(1);
    }
    void vera_sits() {
        must(node::make_officer(olga.context, "Vera"));
        sync(olga, vera);
    }
    void vera_takes_over() {
        must(node::take_over_pairs(vera.context));
        sync(vera, olga);
    }
    std::vector<std::string> without_mentor(MemberNode& officer) {
        return must(node::review(officer.context)).without_mentor;
    }
};

TEST_CASE("the next officer gets the seat, and the review with it") {
    TwoOfficers c;
    sync(c.olga, c.vera);
    CHECK(must_fail(node::review(c.vera.context)).fault() == Fault::refused);
    c.vera_sits();
    CHECK(must(node::review(c.vera.context)).lines.size() == 1);
}

TEST_CASE("the seat is for grown-ups of the club who have none") {
    TwoOfficers c;
    c.enter("Mia", MemberRole::newcomer, true);
    const auto before = c.olga.events();
    CHECK(must_fail(node::make_officer(c.olga.context, "Mia")).fault() == Fault::refused);
    CHECK(must_fail(node::make_officer(c.olga.context, "Olga")).fault() == Fault::refused);
    CHECK(must_fail(node::make_officer(c.olga.context, "Nobody")).fault() == Fault::not_found);
    CHECK(c.olga.events() == before);
    CHECK(must_fail(node::make_officer(c.ben.context, "Ben")).fault() == Fault::refused);
}

TEST_CASE("the only officer cannot step down") {
    TwoOfficers c;
    const std::string sentence = must_fail(node::step_down(c.olga.context, MemberRole::mentor)).sentence();
    CHECK(sentence.find("You are this club's only officer") == 0);
}

TEST_CASE("pairs on one officer's word alone hold that officer back until somebody has taken them over") {
    TwoOfficers c;
    c.vera_sits();
    CHECK(must(node::open_matters(c.olga.context)).on_my_word == 1);
    CHECK(must_fail(node::step_down(c.olga.context, MemberRole::mentor)).sentence().find("1 pair rests") == 0);
    c.vera_takes_over();
    CHECK(must(node::open_matters(c.olga.context)).on_my_word == 0);
    must(node::step_down(c.olga.context, MemberRole::mentor));
    sync(c.olga, c.vera);
    CHECK(c.without_mentor(c.vera).empty());
    CHECK(must_fail(node::review(c.olga.context)).fault() == Fault::refused);
}

TEST_CASE("a pair to which both said yes rests on the word of the officer who proposed it") {
    TwoOfficers c;
    MemberNode& max = c.enter("Max", MemberRole::mentor);
    MemberNode& bea = c.newcomer("Bea", c.row());
    must(node::ask_pair(c.olga.context, "Bea", {"Max"}));
    sync(c.olga, bea);
    sync(c.olga, max);
    must(node::answer_pair(bea.context, "Max", true));
    must(node::answer_pair(max.context, "Bea", true));
    sync(c.olga, bea);
    sync(c.olga, max);
    c.vera_sits();
    CHECK(must(node::open_matters(c.olga.context)).on_my_word == 2);
    CHECK(must_fail(node::step_down(c.olga.context, MemberRole::mentor)).fault() == Fault::refused);
    c.vera_takes_over();
    must(node::step_down(c.olga.context, MemberRole::mentor));
    sync(c.olga, c.vera);
    CHECK(c.without_mentor(c.vera).empty());
}

TEST_CASE("what the old officer ended does not stand again when they step down") {
    TwoOfficers c;
    c.vera_sits();
    c.vera_takes_over();
    must(node::end_pair(c.olga.context, "Ana", "Ben"));
    CHECK(must(node::open_matters(c.olga.context)).on_my_word == 1);
    CHECK(must_fail(node::step_down(c.olga.context, MemberRole::mentor)).fault() == Fault::refused);
    sync(c.olga, c.vera);
    c.vera_takes_over();
    must(node::step_down(c.olga.context, MemberRole::mentor));
    sync(c.olga, c.vera);
    CHECK(c.without_mentor(c.vera) == std::vector<std::string>{"Ana"});
}

TEST_CASE("a pair that was taken over keeps the day on which it was agreed") {
    TwoOfficers c;
    c.vera_sits();
    c.vera_takes_over();
    const auto pairs = must(node::pairings(c.vera.db(), c.vera.circle(protocol::CircleKind::club)));
    REQUIRE(pairs.size() == 1);
    CHECK(pairs[0].day == c.today() + -1);
}

TEST_CASE("a pair that the new officer ended stays ended when the old one steps down") {
    TwoOfficers c;
    c.vera_sits();
    c.vera_takes_over();
    must(node::end_pair(c.vera.context, "Ana", "Ben"));
    sync(c.vera, c.olga);
    must(node::step_down(c.olga.context, MemberRole::second_adult));
    sync(c.olga, c.vera);
    CHECK(must(node::open_matters(c.vera.context)).standing_pairs == 0);
}

TEST_CASE("an officer does not step down into a newcomer's seat") {
    TwoOfficers c;
    c.vera_sits();
    c.vera_takes_over();
    for (const MemberRole seat : {MemberRole::newcomer, MemberRole::officer, MemberRole::guardian}) {
        CHECK(must_fail(node::step_down(c.olga.context, seat)).fault() == Fault::bad_input);
    }
}

TEST_CASE("what is open names questions, dates, everybody under 18 and the pairs to look at") {
    TwoOfficers c;
    ClubRowBody asking = c.row();
    asking.help_topic = "tone";
    asking.help_since = c.today() + -2;
    asking.consent_until = c.today() + 20;
    c.show(c.ana, asking);
    c.enter("Mia", MemberRole::newcomer, true);
    c.clock.pass_days(3);
    const auto open = must(node::open_matters(c.olga.context));
    REQUIRE(open.asks.size() == 1);
    CHECK(open.asks[0].sentence == "tone, asked 5 days ago, with Ben");
    REQUIRE(open.dates.size() == 1);
    CHECK(open.dates[0].who == "Ana");
    REQUIRE(open.minors.size() == 1);
    CHECK(open.minors[0].sentence.find("this node does not see that path") != std::string::npos);
    REQUIRE(open.reviews.size() == 1);
    CHECK(open.reviews[0].who == "Ana and Ben");
    CHECK(open.unknown == 1);
    CHECK(open.officers == std::vector<std::string>{"Olga"});
}

TEST_CASE("a review of a pair far away or long past is not open") {
    TwoOfficers c;
    c.clock.to("2026-03-02T18:00Z");
    CHECK(must(node::open_matters(c.olga.context)).reviews.size() == 1);  // in 30 days
    c.clock.pass_days(150);                                               // 60 after the second, 215 before the third
    CHECK(must(node::open_matters(c.olga.context)).reviews.empty());
}

}  // namespace
}  // namespace ladderline
