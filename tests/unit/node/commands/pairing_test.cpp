#include "node/commands/pairing.hpp"

#include <doctest/doctest.h>

#include "node/commands/club_row.hpp"
#include "tests/unit/node/commands/pair_club.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

TEST_CASE("a newcomer and a mentor with common time are proposed with the reasons") {
    OnePair c;
    c.card(c.ana, "Tue 18:00-21:00", 0, "FN31", {"antennas"});
    c.card(c.ben, "Tue 19:00-21:00", 1, "FN31", {"antennas"});
    const auto proposal = c.propose();
    REQUIRE(proposal.lines.size() == 1);
    CHECK(proposal.lines[0].mentor_name == "Ben");
    CHECK(any_has(proposal.lines[0].parts, "common time: 120 minutes a week (0 of 300 points lost)"));
    CHECK(any_has(proposal.lines[0].parts, "topics: antennas (0 of 150 points lost)"));
}

TEST_CASE("everybody who can be paired is, and the totals say so") {
    PairClub c;
    MemberNode ana(c.clock, 2);
    MemberNode ivo(c.clock, 3);
    MemberNode ben(c.clock, 4);
    MemberNode cat(c.clock, 5);
    c.enter(ana, "Ana", MemberRole::newcomer);
    c.enter(ivo, "Ivo", MemberRole::newcomer);
    c.enter(ben, "Ben", MemberRole::mentor);
    c.enter(cat, "Cat", MemberRole::mentor);
    // Ivo can meet Ben alone; Ana suits Ben better than Cat.
    c.card(ana, "Tue 18:00-20:00, Sat 09:00-10:00");
    c.card(ivo, "Tue 18:00-20:00");
    c.card(ben, "Tue 18:00-20:00", 1);
    c.card(cat, "Sat 09:00-10:00", 1);
    const auto proposal = c.propose();
    CHECK(proposal.newcomers == 2);
    CHECK(proposal.paired == 2);
    CHECK(proposal.places == 2);
    for (const auto& line : proposal.lines) {
        const bool is_ivo = line.newcomer_name == "Ivo";
        CHECK(line.mentor_name == (is_ivo ? "Ben" : "Cat"));
        CHECK(line.better_elsewhere.empty() == is_ivo);
    }
}

TEST_CASE("missing weekly times are named as the reason") {
    OnePair c;
    c.card(c.ben, "Tue 19:00-21:00", 1);
    const auto line = c.propose().lines.at(0);
    CHECK_FALSE(line.mentor.has_value());
    CHECK(any_has(line.reasons_not, "missing on the card of Ana"));
}

TEST_CASE("a full mentor is named as one who would suit") {
    OnePair c;
    c.card(c.ana, "Tue 18:00-21:00");
    c.card(c.ben, "Tue 18:00-21:00", 0);
    CHECK(any_has(c.propose().lines.at(0).reasons_not, "has no free place left: Ben"));
}

TEST_CASE("an agreed pair is left out and takes a place of the mentor") {
    PairClub c;
    MemberNode ana(c.clock, 2);
    MemberNode ivo(c.clock, 3);
    MemberNode ben(c.clock, 4);
    c.enter(ana, "Ana", MemberRole::newcomer);
    c.enter(ivo, "Ivo", MemberRole::newcomer);
    c.enter(ben, "Ben", MemberRole::mentor);
    for (MemberNode* member : {&ana, &ivo}) c.card(*member, "Tue 18:00-21:00");
    c.card(ben, "Tue 18:00-21:00", 1);
    c.agree("Ana", "Ben");
    const auto proposal = c.propose();
    REQUIRE(proposal.lines.size() == 1);
    CHECK(proposal.lines[0].newcomer_name == "Ivo");
    CHECK(proposal.places == 0);
}

TEST_CASE("an ended pair gives the place back") {
    OnePair c;
    c.card(c.ana, "Tue 18:00-21:00");
    c.card(c.ben, "Tue 18:00-21:00", 1);
    c.agree("Ana", "Ben");
    c.clock.pass_minutes(1);
    const auto done = must(node::end_pair(c.olga.context, "Ana", "Ben"));
    CHECK(done.sentence == "The pairing of Ana and Ben has ended, with thanks to both. No reason is kept.");
    CHECK(c.propose().paired == 1);
}

TEST_CASE("resting people are not proposed") {
    PairClub c;
    MemberNode ana(c.clock, 2);
    c.enter(ana, "Ana", MemberRole::newcomer);
    node::CardRequest rest;
    rest.resting = true;
    must(node::change_card(ana.context, rest));
    sync(ana, c.olga);
    CHECK(c.propose().lines.empty());
}

TEST_CASE("only officers see proposals and agree pairs") {
    OnePair c;
    sync(c.ana, c.olga);
    const auto before = c.ben.events();
    CHECK(must_fail(node::propose_pairs(c.ben.context)).fault() == Fault::refused);
    CHECK(must_fail(node::agree_pair(c.ben.context, "Olga", "Ben")).fault() == Fault::refused);
    CHECK(c.ben.events() == before);
}

TEST_CASE("a minor is proposed to nobody while their path is not seen") {
    PairClub c;
    MemberNode mia(c.clock, 2);
    MemberNode ben(c.clock, 3);
    c.enter(mia, "Mia", MemberRole::newcomer, true);
    c.enter(ben, "Ben", MemberRole::mentor);
    c.card(mia, "Tue 18:00-21:00");
    c.card(ben, "Tue 18:00-21:00", 1);
    const auto line = c.propose().lines.at(0);
    CHECK_FALSE(line.mentor.has_value());
    CHECK(any_has(line.reasons_not, "a guardian who agreed and a second adult must be on the path first"));
}

TEST_CASE("agreeing a pair for a minor whose adults are not known is refused and stores nothing") {
    PairClub c;
    MemberNode mia(c.clock, 2);
    MemberNode ben(c.clock, 3);
    c.enter(mia, "Mia", MemberRole::newcomer, true);
    c.enter(ben, "Ben", MemberRole::mentor);
    const auto before = c.olga.events();
    CHECK(must_fail(node::agree_pair(c.olga.context, "Mia", "Ben")).fault() == Fault::refused);
    CHECK(c.olga.events() == before);
}

TEST_CASE("a minor's pair waits for the guardian's agreement") {
    MinorClub c;
    CHECK(must_fail(node::agree_pair(c.olga.context, "Mia", "Ben")).fault() == Fault::refused);
}

TEST_CASE("a minor's pair can be agreed once the officer sees guardian, agreement and second adult on the path") {
    MinorClub c;
    c.guardian_agrees();
    CHECK(node::agree_pair(c.olga.context, "Mia", "Ben").has_value());
}

TEST_CASE("even then no pair is proposed by itself, since no clearance of a mentor is held") {
    MinorClub c;
    c.guardian_agrees();
    c.card(c.mia, "Tue 18:00-21:00");
    c.card(c.ben, "Tue 18:00-21:00", 1);
    const auto line = c.propose().lines.at(0);
    CHECK_FALSE(line.mentor.has_value());
    CHECK(any_has(line.reasons_not, "Ben: The newcomer is under age and no clearance of the mentor is on file."));
}

TEST_CASE("a newcomer has one mentor at a time") {
    PairClub c;
    MemberNode ana(c.clock, 2);
    MemberNode ben(c.clock, 3);
    MemberNode cat(c.clock, 4);
    c.enter(ana, "Ana", MemberRole::newcomer);
    c.enter(ben, "Ben", MemberRole::mentor);
    c.enter(cat, "Cat", MemberRole::mentor);
    c.agree("Ana", "Ben");
    const auto before = c.olga.events();
    CHECK(must_fail(node::agree_pair(c.olga.context, "Ana", "Cat")).sentence() ==
          "Ana is with Ben; end that pairing first, then agree the new one.");
    CHECK(must_fail(node::agree_pair(c.olga.context, "Ana", "Ben")).sentence().find("paired already") !=
          std::string::npos);
    CHECK(c.olga.events() == before);
}

TEST_CASE("either of the two may end their pairing, somebody else may not") {
    PairClub c;
    MemberNode ana(c.clock, 2);
    MemberNode ben(c.clock, 3);
    MemberNode cat(c.clock, 4);
    c.enter(ana, "Ana", MemberRole::newcomer);
    c.enter(ben, "Ben", MemberRole::mentor);
    c.enter(cat, "Cat", MemberRole::mentor);
    c.agree("Ana", "Ben");
    sync(c.olga, ana);
    sync(c.olga, cat);
    c.clock.pass_minutes(1);
    CHECK(must_fail(node::end_pair(cat.context, "Ana", "Ben")).fault() == Fault::refused);
    CHECK(node::end_pair(ana.context, "Ana", "Ben").has_value());
}

TEST_CASE("ending a pair that does not stand is said and stores nothing") {
    OnePair c;
    const auto before = c.olga.events();
    CHECK(must_fail(node::end_pair(c.olga.context, "Ana", "Ben")).fault() == Fault::not_found);
    CHECK(c.olga.events() == before);
}

TEST_CASE("both sides see their pairing and its next review") {
    OnePair c;
    c.agree("Ana", "Ben");
    sync(c.olga, c.ana);
    sync(c.olga, c.ben);
    const auto of_ana = must(node::my_pairings(c.ana.context)).at(0);
    CHECK(of_ana.other_name == "Ben");
    CHECK_FALSE(of_ana.as_mentor);
    CHECK(of_ana.next_review == day("2026-04-01"));
    const auto of_ben = must(node::my_pairings(c.ben.context)).at(0);
    CHECK(of_ben.other_name == "Ana");
    CHECK(of_ben.as_mentor);
}

TEST_CASE("a mentor on the path whom the newcomer's row names is a mentor already") {
    OnePair c;
    c.card(c.ben, "Tue 18:00-21:00", 1);
    join(c.ana, c.ben, "Ben", CircleKind::path, MemberRole::mentor);
    must(node::share_with_club(c.ana.context, day("2026-12-31")));
    sync(c.ana, c.olga);
    const auto proposal = c.propose();
    CHECK(proposal.lines.empty());
    CHECK(proposal.places == 0);
}

TEST_CASE("who waits longest stands first") {
    PairClub c;
    MemberNode ana(c.clock, 2);
    MemberNode zoe(c.clock, 3);
    c.enter(zoe, "Zoe", MemberRole::newcomer);
    c.clock.pass_days(8);
    c.enter(ana, "Ana", MemberRole::newcomer);
    const auto lines = c.propose().lines;
    REQUIRE(lines.size() == 2);
    CHECK(lines[0].newcomer_name == "Zoe");
    CHECK(lines[0].days_waiting == 8);
}

}  // namespace
}  // namespace ladderline
