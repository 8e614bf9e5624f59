// What 'ladderline review' prints of those who rest and of those who were asked.

#include <doctest/doctest.h>

#include "node/commands/checks.hpp"
#include "tests/support/node/typed_command.hpp"
#include "tests/unit/node/commands/review_club.hpp"

using namespace ladderline;
using namespace ladderline::test;

namespace {

struct Printed : ReviewClub {
    std::string words() { return printed(olga, {"review"}); }
    bool has(const std::string& words_meant) { return words().find(words_meant) != std::string::npos; }
    protocol::ClubRowBody resting() {
        auto out = row();
        out.resting = true;
        return out;
    }
};

}  // namespace

TEST_CASE("Who rests stands in a line of their own, and not among those who need somebody") {
    Printed c;
    c.newcomer("Ana", c.row());
    c.newcomer("Bo", c.resting());
    CHECK(c.has("Who needs us:\n  Ana, stage 05"));
    CHECK(c.has("\nResting, and left in peace: Bo.\n"));
    CHECK_FALSE(c.has("  Bo"));
}

TEST_CASE("Where everybody was asked, nobody is said to share no row") {
    Printed c;
    c.newcomer("Ana", c.row());
    must(node::note_checked(c.olga.context, "Ana", {}));
    CHECK(c.has("Who needs us:\n  Nobody stands out.\n  Ana was asked on 2026-03-02 and is fine"));
    CHECK_FALSE(c.has("Nobody shares their row"));
}

TEST_CASE("That nobody shares a row is said of a club in which nobody does") {
    Printed c;
    CHECK(c.has("Who needs us:\n  Nobody shares their row with the club yet."));
}
