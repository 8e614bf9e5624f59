#include "node/commands/checks.hpp"

#include <doctest/doctest.h>

#include "node/commands/list_hits.hpp"
#include "node/commands/word_back.hpp"
#include "protocol/event/checked_body.hpp"
#include "tests/unit/node/commands/review_club.hpp"

namespace ladderline {
namespace {

using protocol::ClubRowBody;
using protocol::MemberRole;
using namespace test;

// Ana asked something ten days ago, so the list names her.
struct Asked : ReviewClub {
    MemberNode& ben = enter("Ben", MemberRole::mentor);
    MemberNode& ana = newcomer("Ana", waiting(10));

    ClubRowBody waiting(int days) {
        ClubRowBody out = row();
        out.help_topic = "tone";
        out.help_since = today() + -days;
        return out;
    }
    std::vector<std::string> on_list() {
        std::vector<std::string> out;
        for (const auto& line : review().lines) {
            if (!line.reasons.empty()) out.push_back(line.name);
        }
        return out;
    }
};

using Names = std::vector<std::string>;

TEST_CASE("who was asked and is fine is off the list for fourteen days, and named as such") {
    Asked c;
    REQUIRE(c.on_list() == Names{"Ana"});
    must(node::note_checked(c.olga.context, "Ana", {}));
    CHECK(c.on_list().empty());
    const auto asked = c.review().asked;
    REQUIRE(asked.size() == 1);
    CHECK(asked[0].name == "Ana");
    CHECK(asked[0].until == c.today() + 14);
    c.clock.pass_days(13);
    CHECK(c.on_list().empty());
    c.clock.pass_days(1);
    CHECK(c.on_list() == Names{"Ana"});
    CHECK(c.review().asked.empty());
}

TEST_CASE("a word taken back is as if it had not been said, and an earlier one stands again") {
    Asked c;
    must(node::note_checked(c.olga.context, "Ana", c.today() + -10));
    const auto slip = must(node::note_checked(c.olga.context, "Ana", {}));
    REQUIRE(c.review().asked.at(0).until == c.today() + 14);
    must(node::take_check_back(c.olga.context, slip.id));
    const auto asked = c.review().asked;
    REQUIRE(asked.size() == 1);
    CHECK(asked[0].until == c.today() + 4);
}

TEST_CASE("nobody takes back what somebody else asked") {
    Asked c;
    sync(c.olga, c.ben);
    const auto of_ben = must(node::note_checked(c.ben.context, "Ana", {}));
    sync(c.ben, c.olga);
    const auto refused = node::take_check_back(c.olga.context, of_ben.id);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().fault() == Fault::not_found);
    // A word that says so all the same takes nothing back.
    const protocol::CheckedBody body{c.ana.id(), Day{}};
    must(node::say(c.olga.context, c.olga.circle(protocol::CircleKind::club), protocol::kind::checked_on,
                   protocol::codec::encode(body), {of_ben.id}));
    CHECK(c.review().asked.size() == 1);
}

TEST_CASE("a question asked after that brings them back at once") {
    Asked c;
    must(node::note_checked(c.olga.context, "Ana", {}));
    c.clock.pass_days(6);
    c.show(c.ana, c.waiting(5));
    CHECK(c.on_list() == Names{"Ana"});
}

TEST_CASE("a question asked later on the day of the check brings them back too, one of before it does not") {
    Asked c;
    c.show(c.ana, c.waiting(0));
    c.clock.pass_minutes(30);
    must(node::note_checked(c.olga.context, "Ana", {}));
    CHECK(c.on_list().empty());
    c.clock.pass_minutes(30);
    c.show(c.ana, c.waiting(0));
    CHECK(c.on_list() == Names{"Ana"});
}

TEST_CASE("a mentor's word counts as an officer's does") {
    Asked c;
    sync(c.olga, c.ben);
    must(node::note_checked(c.ben.context, "Ana", c.today() + -2));
    sync(c.ben, c.olga);
    REQUIRE(c.review().asked.size() == 1);
    CHECK(c.review().asked[0].until == c.today() + 12);
}

TEST_CASE("a newcomer cannot note it, nor does their own node's word count elsewhere") {
    Asked c;
    sync(c.olga, c.ana);
    CHECK(must_fail(node::note_checked(c.ana.context, "Ana", {})).fault() == Fault::refused);
    const protocol::CheckedBody body{c.ana.id(), c.today()};
    must(node::say(c.ana.context, c.ana.circle(protocol::CircleKind::club), protocol::kind::checked_on,
                   protocol::codec::encode(body)));
    sync(c.ana, c.olga);
    CHECK(c.on_list() == Names{"Ana"});
}

TEST_CASE("a day to come, or somebody who is no newcomer, is one sentence and nothing is stored") {
    Asked c;
    const auto before = c.olga.events();
    CHECK(must_fail(node::note_checked(c.olga.context, "Ana", c.today() + 1)).fault() == Fault::bad_input);
    CHECK(must_fail(node::note_checked(c.olga.context, "Ben", {})).sentence() ==
          "Ben is no newcomer of the club; nothing was written down.");
    CHECK(c.olga.events() == before);
}

TEST_CASE("a line says what alone would take it off the list") {
    Asked c;
    const auto line = c.review().lines.at(0);
    CHECK(line.reasons.size() == 2);  // the question, and no mentor
    CHECK(line.falls_out_if.empty());
    ClubRowBody with_ben = c.waiting(10);
    with_ben.mentor = c.ben.id();
    c.show(c.ana, with_ben);
    CHECK(c.review().lines.at(0).falls_out_if == Names{"the question were answered"});
}

TEST_CASE("how well the list did is said with its denominators, and no share before ten have left") {
    Asked c;
    const auto hits = must(node::list_hits(c.olga.context));
    CHECK(hits.named == 0);
    REQUIRE(hits.sentences.size() == 3);
    CHECK(hits.sentences[1] == "Of fewer than five who left, it had named fewer than five.");
    CHECK(hits.sentences[2].find("No share is worked out") == 0);
}

TEST_CASE("the list of a period that is over is made of what was known then") {
    Asked c;
    c.clock.pass_days(28);
    ClubRowBody answered = c.row();
    answered.mentor = c.ben.id();
    c.show(c.ana, answered);
    CHECK(c.on_list().empty());
    CHECK(must(node::list_hits(c.olga.context)).named == 1);
    CHECK(must(node::list_hits(c.olga.context)).asked_and_fine == 0);
    must(node::note_checked(c.olga.context, "Ana", c.today() + -15));
    CHECK(must(node::list_hits(c.olga.context)).asked_and_fine == 1);
}

}  // namespace
}  // namespace ladderline
