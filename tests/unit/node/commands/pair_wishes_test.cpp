#include "node/commands/pair_wishes.hpp"

#include <doctest/doctest.h>

#include "node/commands/pair_requests.hpp"
#include "node/read_models/pairing_views.hpp"
#include "tests/unit/node/commands/pair_club.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("two without a common language are not proposed, and the reason says so") {
    LifeClub c;
    c.done(node::change_wish(c.ana.context, c.speaks("German")));
    c.done(node::change_wish(c.ben.context, c.speaks("French")));
    CHECK(c.propose().lines.at(0).mentor_name == "Cat");  // who named no language
    CHECK(any_has(c.reasons(), "Ben: There is no language that both speak well enough."));
}

TEST_CASE("a language is the same however it is typed, and stands in the reasons") {
    LifeClub c;
    c.done(node::change_wish(c.ana.context, c.speaks(" gERman ")));
    c.done(node::change_wish(c.ben.context, c.speaks("German")));
    c.done(node::change_wish(c.cat.context, c.speaks("French")));
    const auto line = c.propose().lines.at(0);
    CHECK(line.mentor_name == "Ben");
    CHECK(any_has(line.parts, "language: German (0 of 100 points lost)"));
}

TEST_CASE("a mentor's limit of distance rules out who lives farther, unless both accept help from afar") {
    LifeClub c;
    c.card(c.ana, "Tue 18:00-21:00", 0, "EM75");
    node::WishRequest near;
    near.km_max = 20;
    c.done(node::change_wish(c.ben.context, near));
    c.done(node::change_wish(c.cat.context, near));
    CHECK_FALSE(c.propose().lines.at(0).mentor.has_value());
    CHECK(any_has(c.reasons(), ": They live farther apart than one of them accepts"));  // of both in one line
    CHECK(c.reasons().size() == 1);
    node::WishRequest remote;
    remote.remote = true;
    c.done(node::change_wish(c.ana.context, remote));
    c.done(node::change_wish(c.cat.context, remote));
    CHECK(c.propose().lines.at(0).mentor_name == "Cat");
}

TEST_CASE("a limit of distance does not part whom their squares do not") {
    LifeClub c;
    c.card(c.ana, "Tue 18:00-21:00", 0, "FN32");
    node::WishRequest near;
    near.km_max = 20;
    c.done(node::change_wish(c.ben.context, near));
    c.done(node::change_wish(c.cat.context, near));
    CHECK(c.propose().lines.at(0).mentor.has_value());
}

TEST_CASE("writing alone is enough where both accept it") {
    LifeClub c;
    c.card(c.ana, "Mon 06:00-07:00");
    CHECK_FALSE(c.propose().lines.at(0).mentor.has_value());
    node::WishRequest written;
    written.written = true;
    c.done(node::change_wish(c.ana.context, written));
    c.done(node::change_wish(c.cat.context, written));
    CHECK(c.propose().lines.at(0).mentor_name == "Cat");
}

TEST_CASE("a wished mentor is shown with what the wish would cost all together") {
    LifeClub c;
    c.card(c.cat, "Tue 19:00-20:00", 1, "FN31");
    node::WishRequest like;
    like.would_like = std::vector<std::string>{"Cat", "Ben"};
    c.done(node::change_wish(c.ana.context, like));
    const auto wishes = c.propose().lines.at(0).wishes;
    CHECK(any_has(wishes, "Would like Ben: that is this proposal."));
    CHECK(any_has(wishes, "Would like Cat: that would cost 150 points more over all."));
}

TEST_CASE("wishes that cannot be are one sentence and change nothing") {
    LifeClub c;
    const auto before = c.ana.events();
    node::WishRequest far;
    far.km_max = -1;
    CHECK(must_fail(node::change_wish(c.ana.context, far)).fault() == Fault::bad_input);
    node::WishRequest many;
    many.would_like = std::vector<std::string>{"Ben", "Cat", "Otto"};
    CHECK(must_fail(node::change_wish(c.ana.context, many)).sentence().find("at most two") != std::string::npos);
    node::WishRequest ana;
    ana.would_like = std::vector<std::string>{"Ana"};
    CHECK(must_fail(node::change_wish(c.ana.context, ana)).fault() == Fault::bad_input);
    CHECK(c.ana.events() == before);
    CHECK(must_fail(node::change_wish(c.ben.context, many)).sentence().find("Only newcomers") != std::string::npos);
}

TEST_CASE("what is not named in a change of wishes stays") {
    LifeClub c;
    c.done(node::change_wish(c.ana.context, c.speaks("German")));
    node::WishRequest far;
    far.km_max = 30;
    c.done(node::change_wish(c.ana.context, far));
    const auto own = must(node::own_wish(c.ana.context));
    CHECK(own.wish.languages == std::vector<std::string>{"German"});
    CHECK(own.wish.km_max == 30);
}

TEST_CASE("rather not with somebody stays on the own machines and comes back as a reminder") {
    LifeClub c;
    const auto club_before = must(node::pairing_wishes(c.ana.db(), c.ana.circle(protocol::CircleKind::club))).size();
    c.done(node::not_with(c.ana.context, "Ben", true));
    CHECK(must(node::pairing_wishes(c.ana.db(), c.ana.circle(protocol::CircleKind::club))).size() == club_before);
    CHECK(c.propose().lines.at(0).mentor_name == "Ben");  // nobody else knows
    c.done(node::ask_pair(c.olga.context, "Ana", {"Ben"}));
    CHECK(c.mine(c.ana).noted_apart);
    CHECK_FALSE(c.mine(c.ben).noted_apart);
    c.done(node::not_with(c.ana.context, "Ben", false));
    CHECK_FALSE(c.mine(c.ana).noted_apart);
}

TEST_CASE("an officer who keeps two apart is not proposed them, and another officer's node does not know") {
    LifeClub c;
    c.done(node::keep_apart(c.olga.context, "Ana", "Ben", true));
    CHECK(c.propose().lines.at(0).mentor_name == "Cat");
    CHECK(any_has(c.reasons(), "Ben: An officer has ruled this pair out."));
    CHECK(must_fail(node::ask_pair(c.olga.context, "Ana", {"Ben"})).fault() == Fault::refused);
    CHECK(must(node::propose_pairs(c.otto.context)).lines.at(0).mentor_name == "Ben");
    c.done(node::keep_apart(c.olga.context, "Ana", "Ben", false));
    CHECK(c.propose().lines.at(0).mentor_name == "Ben");
}
