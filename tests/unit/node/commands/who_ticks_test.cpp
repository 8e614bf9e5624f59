#include "node/commands/who_ticks.hpp"

#include <doctest/doctest.h>

#include "node/commands/help.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

// Mia is under 18 and alone on her path; Gus is to be her guardian.
struct Alone {
    SetClock clock;
    MemberNode mia{clock, 1};
    MemberNode gus{clock, 2};

    Alone() {
        clock.to("2026-03-02T18:00Z");
        begin_as(mia, "Mia", MemberRole::newcomer, true);
        begin_as(gus, "Gus", MemberRole::guardian);
    }
    static std::string words(MemberNode& who, const char* newcomer, domain::ItemId id) {
        const auto view = must(node::way(who.context, newcomer));
        return node::who_ticks(who.context, view, *who.context.edition.find(id));
    }
};

TEST_CASE("a newcomer under 18 without a guardian is told how one is let in") {
    Alone a;
    CHECK(Alone::words(a.mia, "", domain::known_item::guardian_agrees).find("'ladderline invite path --as guardian'") !=
          std::string::npos);
}

TEST_CASE("whoever else looks is told that the newcomer lets the second adult in") {
    Alone a;
    join(a.mia, a.gus, "Gus", CircleKind::path, MemberRole::guardian);
    CHECK(Alone::words(a.gus, "Mia", domain::known_item::second_adult_named)
              .ends_with("No second adult is on this path yet; the newcomer lets them in."));
}

TEST_CASE("a guardian who ticks the agreement is told until when that is a consent, and how to say another day") {
    Alone a;
    join(a.mia, a.gus, "Gus", CircleKind::path, MemberRole::guardian);
    node::TickRequest request;
    request.item = domain::to_text(domain::known_item::guardian_agrees);
    request.who = "Mia";
    CHECK(must(node::tick(a.gus.context, request))
              .sentence.ends_with("That is your consent until 2027-03-02; 'ladderline consent \"Mia\" --until DAY' "
                                  "says another day, and --take-back takes it back."));
}

TEST_CASE("once the guardian is there the newcomer waits for them, and the guardian is told the command") {
    Alone a;
    join(a.mia, a.gus, "Gus", CircleKind::path, MemberRole::guardian);
    CHECK(Alone::words(a.mia, "", domain::known_item::guardian_agrees) ==
          "Ticked by the guardian, on their own machine.");
    CHECK(Alone::words(a.gus, "Mia", domain::known_item::guardian_agrees) ==
          "You say so: ladderline consent \"Mia\" --until DAY");
}

TEST_CASE("who asks for a hand with nobody on the path is told that nobody sees it yet") {
    Alone a;
    const auto asked = must(node::ask_for_help(a.mia.context, "where do I begin", {}));
    CHECK(asked.sentence.find("Nobody is on your way yet who could see it") != std::string::npos);
}

}  // namespace
}  // namespace ladderline
