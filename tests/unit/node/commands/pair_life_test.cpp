// The life of a pairing: a proposal and its answers, reviews, a hand-over, a mentor who cannot be reached.

#include <doctest/doctest.h>

#include "node/commands/club_row.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/pair_board.hpp"
#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/read_models/pairing_views.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/unit/node/commands/pair_club.hpp"

using namespace ladderline;
using namespace ladderline::test;
using protocol::MemberRole;
using protocol::PairingStep;
using protocol::PairingWord;

// --- Proposals and answers

TEST_CASE("with two yeses a proposed pairing stands, on every node") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    CHECK(c.mine(c.ana).waits_for_me());
    CHECK(c.mine(c.ben).waits_for_me());
    CHECK(c.done(node::answer_pair(c.ben.context, "Ana", true)).sentence.find("as soon as Ana says yes") !=
          std::string::npos);
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::proposed);
    CHECK(c.done(node::answer_pair(c.ana.context, "Ben", true)).sentence == "You and Ben are paired from today.");
    for (MemberNode* node : {&c.olga, &c.otto, &c.ana, &c.ben, &c.cat}) {
        CHECK(c.step_of(c.ben, *node) == PairingStep::agreed);
    }
}

TEST_CASE("both may say yes at once, without having heard of each other") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    must(node::answer_pair(c.ben.context, "Ana", true));
    must(node::answer_pair(c.ana.context, "Ben", true));
    c.everybody_syncs();
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::agreed);
    CHECK(c.step_of(c.ben, c.ana) == PairingStep::agreed);
}

TEST_CASE("one yes and one rather not is no pairing, whoever hears of what first") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    must(node::answer_pair(c.ana.context, "Ben", false));
    c.clock.pass_minutes(1);
    must(node::answer_pair(c.ben.context, "Ana", true));
    c.everybody_syncs();
    for (MemberNode* node : {&c.olga, &c.ana, &c.ben}) CHECK(c.step_of(c.ben, *node) == PairingStep::declined);
}

TEST_CASE("a rather not that crosses the second yes ends what stood for a moment") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    c.done(node::answer_pair(c.ana.context, "Ben", true));
    must(node::answer_pair(c.ben.context, "Ana", true));  // Ana has not heard of it
    c.clock.pass_minutes(1);
    must(node::answer_pair(c.ana.context, "Ben", false));
    c.everybody_syncs();
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::declined);
    CHECK(must(node::my_pairings(c.ben.context)).empty());
}

TEST_CASE("a rather not names no reason, is nowhere on anybody's page, and the pair is left alone for a while") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    const auto done = c.done(node::answer_pair(c.ana.context, "Ben", false));
    CHECK(done.sentence == "Rather not, then. No reason is asked, and it is held against nobody.");
    CHECK(must(node::my_pairings(c.ana.context)).empty());
    CHECK(must(node::my_pairings(c.ben.context)).empty());
    CHECK(c.propose().lines.at(0).mentor_name == "Cat");
    CHECK(any_has(c.reasons(), "Ben: It was proposed to the two not long ago"));
    CHECK(must_fail(node::ask_pair(c.otto.context, "Ana", {"Ben"})).fault() == Fault::refused);
    c.clock.pass_days(31);
    CHECK(node::ask_pair(c.otto.context, "Ana", {"Ben"}).has_value());
}

TEST_CASE("the newcomer chooses among several, one at a time, and the others are asked no more") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben", "Cat"}));
    CHECK(must(node::my_pairings(c.ana.context)).size() == 2);
    c.done(node::answer_pair(c.ana.context, "Cat", true));
    CHECK(must_fail(node::answer_pair(c.ana.context, "Ben", true)).sentence() ==
          "You have said yes to Cat; wait for their answer, or say 'rather not' there first.");
    c.done(node::answer_pair(c.cat.context, "Ana", true));
    CHECK(c.step_of(c.cat, c.olga) == PairingStep::agreed);
    CHECK(must(node::my_pairings(c.ben.context)).empty());
    CHECK(must_fail(node::answer_pair(c.ben.context, "Ana", true)).fault() == Fault::not_found);
}

TEST_CASE("who has been asked is in no further proposal, and holds a place of the mentor") {
    LifeClub c;
    MemberNode ivo(c.clock, 8);
    c.enter(ivo, "Ivo", MemberRole::newcomer);
    c.card(ivo, "Tue 18:00-21:00", 0, "FN31");
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    const auto proposal = c.propose();
    REQUIRE(proposal.lines.size() == 1);
    CHECK(proposal.lines[0].newcomer_name == "Ivo");
    CHECK(proposal.lines[0].mentor_name == "Cat");
    CHECK(must(node::pair_board(c.olga.context)).open.size() == 1);
}

TEST_CASE("another officer takes a proposal back, and nobody is said to have declined") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    c.done(node::withdraw_pair(c.otto.context, "Ana", "Ben"));
    CHECK(must(node::my_pairings(c.ana.context)).empty());
    CHECK(c.propose().lines.at(0).mentor_name == "Ben");
}

TEST_CASE("another officer may agree what was proposed") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    c.done(node::agree_pair(c.otto.context, "Ana", "Ben"));
    CHECK(c.step_of(c.ben, c.ana) == PairingStep::agreed);
}

TEST_CASE("a pair agreed under a clock far ahead is ended once the clock is right") {
    LifeClub c;
    const WallTime before = c.clock.now;
    c.clock.now.ms += 3'652 * std::int64_t{86'400'000};
    must(node::agree_pair(c.olga.context, "Ana", "Ben"));
    c.clock.now = before;
    c.everybody_syncs();
    REQUIRE(c.step_of(c.ben, c.otto) == PairingStep::agreed);
    SUBCASE("by the officer who agreed it") {
        c.done(node::end_pair(c.olga.context, "Ana", "Ben"));
    }
    SUBCASE("by another officer") {
        c.done(node::end_pair(c.otto.context, "Ana", "Ben"));
    }
    for (MemberNode* node : {&c.olga, &c.otto, &c.ana, &c.ben, &c.cat}) {
        CHECK(c.step_of(c.ben, *node) == PairingStep::ended);
    }
}

TEST_CASE("one of a pair who names an officer's word as replaced does not move it") {
    LifeClub c;
    c.paired();
    const protocol::EventId ended = c.done(node::end_pair(c.otto.context, "Ana", "Ben")).id;
    c.clock.now.ms -= 3'600'000;
    const protocol::PairingBody body{c.ana.id(), c.ben.id(), PairingStep::declined, c.ben.context.today()};
    must(node::say(c.ben.context, c.ben.circle(protocol::CircleKind::club), protocol::kind::pairing,
                   protocol::codec::encode(body), {ended}));
    c.everybody_syncs();
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::ended);
}

TEST_CASE("an officer who mentors answers for themselves alone") {
    LifeClub c;
    c.card(c.olga, "Tue 18:00-21:00", 1);
    c.done(node::ask_pair(c.olga.context, "Ana", {"Olga"}));
    c.done(node::agree_pair(c.olga.context, "Ana", "Olga"));
    CHECK(c.step_of(c.olga, c.ana) == PairingStep::proposed);
    c.done(node::answer_pair(c.ana.context, "Olga", true));
    CHECK(c.step_of(c.olga, c.ana) == PairingStep::agreed);
}

TEST_CASE("words that a mentor's changed program says about a pair of its own count for nothing") {
    LifeClub c;
    const auto club = c.ben.circle(protocol::CircleKind::club);
    for (const PairingStep step : {PairingStep::proposed, PairingStep::agreed}) {
        const protocol::PairingBody body{c.ana.id(), c.ben.id(), step, c.ben.context.today()};
        must(node::say(c.ben.context, club, protocol::kind::pairing, protocol::codec::encode(body)));
    }
    c.everybody_syncs();
    CHECK_FALSE(c.step_of(c.ben, c.olga).has_value());
}

TEST_CASE("asking what makes no sense is one sentence and asks nobody") {
    LifeClub c;
    const auto before = c.olga.events();
    CHECK(must_fail(node::ask_pair(c.olga.context, "Ana", {})).fault() == Fault::bad_input);
    CHECK(must_fail(node::ask_pair(c.olga.context, "Ben", {"Cat"})).fault() == Fault::bad_input);
    CHECK(must_fail(node::ask_pair(c.olga.context, "Ana", {"Cat", "Nobody"})).fault() == Fault::not_found);
    CHECK(must_fail(node::ask_pair(c.ben.context, "Ana", {"Cat"})).fault() == Fault::refused);
    CHECK(must_fail(node::answer_pair(c.ana.context, "Ben", true)).fault() == Fault::not_found);
    CHECK(c.olga.events() == before);
}

TEST_CASE("nobody under 18 is asked, and none says yes, before the adults are on the path") {
    MinorClub c;
    CHECK(must_fail(node::ask_pair(c.olga.context, "Mia", {"Ben"})).fault() == Fault::refused);
    c.guardian_agrees();
    must(node::ask_pair(c.olga.context, "Mia", {"Ben"}));
    sync(c.olga, c.mia);
    c.clock.pass_minutes(1);
    CHECK(node::answer_pair(c.mia.context, "Ben", true).has_value());
}

TEST_CASE("a newcomer whose mentor left the club can be asked and paired anew") {
    LifeClub c;
    c.paired();
    must(node::leave_circle(c.ben.context, must(node::own_circle(c.ben.context, protocol::CircleKind::club))));
    c.everybody_syncs();
    c.done(node::ask_pair(c.olga.context, "Ana", {"Cat"}));
    c.done(node::answer_pair(c.cat.context, "Ana", true));
    c.done(node::answer_pair(c.ana.context, "Cat", true));
    CHECK(c.mine(c.ana).other_name == "Cat");
}

// --- Reviews

TEST_CASE("no review is due before the thirtieth day, and then both and the officers are told") {
    LifeClub c;
    c.paired();
    CHECK(must_fail(node::review_pair(c.ana.context, "Ben", PairingWord::goes_well)).sentence().find("2026-04-01") !=
          std::string::npos);
    c.clock.pass_days(30);
    CHECK(c.mine(c.ana).review_waits_for_me());
    CHECK(c.mine(c.ben).review_waits_for_me());
    CHECK(must(node::reviews_open(c.olga.context)).at(0).sentence ==
          "Ana and Ben, after 30 days: Ana: not answered yet; Ben: not answered yet.");
}

TEST_CASE("two that say it goes well are left in peace until the next review") {
    LifeClub c;
    c.paired();
    c.clock.pass_days(30);
    c.done(node::review_pair(c.ana.context, "Ben", PairingWord::goes_well));
    c.done(node::review_pair(c.ben.context, "Ana", PairingWord::goes_well));
    CHECK(must(node::reviews_open(c.olga.context)).empty());
    CHECK_FALSE(c.mine(c.ana).review_waits_for_me());
    c.clock.pass_days(60);
    CHECK(c.mine(c.ana).review->after_days == 90);
    CHECK(c.mine(c.ana).review_waits_for_me());
}

TEST_CASE("needs a talk reaches both and every officer, and a later word replaces it") {
    LifeClub c;
    c.paired();
    c.clock.pass_days(31);
    c.done(node::review_pair(c.ana.context, "Ben", PairingWord::needs_a_talk));
    CHECK(c.mine(c.ben).review->newcomer_said == PairingWord::needs_a_talk);
    CHECK(must(node::reviews_open(c.otto.context)).at(0).sentence.find("Ana: needs a talk") != std::string::npos);
    c.done(node::review_pair(c.ana.context, "Ben", PairingWord::goes_well));
    CHECK(c.mine(c.ben).review->newcomer_said == PairingWord::goes_well);
}

TEST_CASE("let us end it ends nothing by itself") {
    LifeClub c;
    c.paired();
    c.clock.pass_days(31);
    c.done(node::review_pair(c.ana.context, "Ben", PairingWord::let_us_end));
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::agreed);
    c.done(node::end_pair(c.ben.context, "Ana", "Ben"));
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::ended);
}

TEST_CASE("nobody else speaks for the two at a review") {
    LifeClub c;
    c.paired();
    c.clock.pass_days(31);
    CHECK(must_fail(node::review_pair(c.cat.context, "Ana", PairingWord::let_us_end)).fault() == Fault::not_found);
    const auto club = c.cat.circle(protocol::CircleKind::club);
    const protocol::PairingReviewBody body{c.ana.id(), c.ben.id(), PairingWord::let_us_end, 30, c.cat.context.today(),
                                           {},         {}};
    must(node::say(c.cat.context, club, protocol::kind::pairing_review, protocol::codec::encode(body)));
    c.everybody_syncs();
    CHECK_FALSE(c.mine(c.ana).review->mentor_said.has_value());
    CHECK_FALSE(c.mine(c.ana).review->newcomer_said.has_value());
}

TEST_CASE("of three answers the most serious is the word that is kept") {
    CHECK(node::most_serious({PairingWord::goes_well, PairingWord::needs_a_talk, PairingWord::goes_well}) ==
          PairingWord::needs_a_talk);
    CHECK(node::most_serious({PairingWord::let_us_end, PairingWord::needs_a_talk}) == PairingWord::let_us_end);
}

// --- Hand-over

TEST_CASE("a mentor hands over with thanks in one act, and newcomer and next mentor still say yes") {
    LifeClub c;
    c.paired();
    c.clock.pass_days(40);
    c.done(node::hand_over(c.ben.context, "Ana", "Cat", "Forty good days, Ana."));
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::ended);
    CHECK(c.step_of(c.cat, c.olga) == PairingStep::proposed);
    for (MemberNode* node : {&c.ana, &c.ben}) {
        const auto all = must(node::my_pairings(node->context));
        CHECK(all.back().thanks == "Forty good days, Ana.");
        CHECK(all.back().handed_to == "Cat");
    }
    c.done(node::answer_pair(c.ana.context, "Cat", true));
    c.done(node::answer_pair(c.cat.context, "Ana", true));
    CHECK(c.step_of(c.cat, c.ben) == PairingStep::agreed);
}

TEST_CASE("any officer hands over for a mentor who rests") {
    LifeClub c;
    c.paired();
    c.done(node::hand_over(c.otto.context, "Ana", "Cat", ""));
    CHECK(c.step_of(c.cat, c.ana) == PairingStep::proposed);
}

TEST_CASE("a hand-over that cannot be changes nothing") {
    LifeClub c;
    c.paired();
    const auto before = c.cat.events();
    CHECK(must_fail(node::hand_over(c.cat.context, "Ana", "Cat", "")).fault() == Fault::refused);
    CHECK(c.cat.events() == before);
    CHECK(must_fail(node::hand_over(c.ben.context, "Ana", "Ben", "")).fault() == Fault::bad_input);
    CHECK(must_fail(node::hand_over(c.ben.context, "Ana", "Cat", std::string(300, 'x'))).fault() == Fault::bad_input);
    CHECK(c.step_of(c.ben, c.ben) == PairingStep::agreed);
}

// --- A mentor who cannot be reached

TEST_CASE("newcomers of a mentor who cannot be reached come first, with the time they waited kept") {
    LifeClub c;
    MemberNode ivo(c.clock, 8);
    c.paired();
    c.clock.pass_days(14);
    c.enter(ivo, "Ivo", MemberRole::newcomer);
    c.clock.pass_days(200);
    const auto done = c.done(node::mentor_out_of_reach(c.otto.context, "Ben"));
    CHECK(done.sentence.find("Ana comes first in the next proposal") != std::string::npos);
    CHECK(c.step_of(c.ben, c.olga) == PairingStep::ended);
    CHECK(c.mine(c.ana).out_of_reach);
    const auto lines = c.propose().lines;
    REQUIRE(lines.size() == 2);
    CHECK(lines[0].newcomer_name == "Ana");
    CHECK(lines[0].comes_first);
    CHECK(lines[0].days_waiting == 214);
    CHECK(lines[0].mentor_name == "Cat");
    CHECK_FALSE(lines[1].comes_first);
}

TEST_CASE("a mentor who is known from a newcomer's row alone is let go in the same way") {
    LifeClub c;
    join(c.ana, c.ben, "Ben", protocol::CircleKind::path, MemberRole::mentor);
    must(node::share_with_club(c.ana.context, day("2026-12-31")));
    c.everybody_syncs();
    CHECK(c.propose().lines.empty());
    c.done(node::mentor_out_of_reach(c.olga.context, "Ben"));
    const auto line = c.propose().lines.at(0);
    CHECK(line.comes_first);
    CHECK(line.mentor_name == "Cat");
}

TEST_CASE("who lost a mentor comes before somebody who has waited longer, where one place is left") {
    LifeClub c;
    MemberNode zoe(c.clock, 8);
    c.enter(zoe, "Zoe", MemberRole::newcomer);
    c.card(zoe, "Tue 18:00-21:00", 0, "FN31");
    c.clock.pass_days(300);
    MemberNode ivo(c.clock, 9);
    c.enter(ivo, "Ivo", MemberRole::newcomer);
    c.card(ivo, "Tue 18:00-21:00", 0, "FN31");
    c.done(node::agree_pair(c.olga.context, "Ivo", "Ben"));
    c.done(node::agree_pair(c.olga.context, "Ana", "Otto"));
    c.done(node::mentor_out_of_reach(c.olga.context, "Ben"));
    const auto lines = c.propose().lines;
    REQUIRE(lines.size() == 2);
    CHECK(lines[0].newcomer_name == "Ivo");
    CHECK(lines[0].mentor_name == "Cat");
    CHECK_FALSE(lines[1].mentor.has_value());
}

TEST_CASE("a mentor out of reach is proposed to nobody until they change their card") {
    LifeClub c;
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    c.done(node::mentor_out_of_reach(c.olga.context, "Ben"));
    CHECK(must(node::my_pairings(c.ana.context)).empty());  // what was proposed is taken back
    CHECK(c.propose().lines.at(0).mentor_name == "Cat");
    CHECK(must_fail(node::mentor_out_of_reach(c.otto.context, "Ben")).fault() == Fault::refused);
    c.card(c.ben, "Tue 18:00-21:00", 1, "FN31");
    c.card(c.cat, "Tue 18:00-21:00", 0, "FN31");
    CHECK(c.propose().lines.at(0).mentor_name == "Ben");
}

TEST_CASE("a newcomer who found somebody new does not come first any more") {
    LifeClub c;
    c.paired();
    c.done(node::mentor_out_of_reach(c.olga.context, "Ben"));
    c.clock.pass_days(1);
    c.done(node::agree_pair(c.olga.context, "Ana", "Cat"));
    c.clock.pass_days(20);
    c.done(node::end_pair(c.ana.context, "Ana", "Cat"));
    CHECK_FALSE(c.propose().lines.at(0).comes_first);
}

TEST_CASE("only officers say that a mentor cannot be reached, in the command and in what is read") {
    LifeClub c;
    c.paired();
    CHECK(must_fail(node::mentor_out_of_reach(c.cat.context, "Ben")).fault() == Fault::refused);
    const auto club = c.cat.circle(protocol::CircleKind::club);
    const protocol::PairingReviewBody body{c.ana.id(), c.ben.id(), PairingWord::out_of_reach, 0, c.cat.context.today(),
                                           {},         {}};
    must(node::say(c.cat.context, club, protocol::kind::pairing_review, protocol::codec::encode(body)));
    c.everybody_syncs();
    CHECK(must(node::pairing_words(c.olga.db(), c.olga.circle(protocol::CircleKind::club))).empty());
}
