#include <doctest/doctest.h>

#include <algorithm>

#include "tests/support/protocol/control_floods.hpp"
#include "tests/support/test_size.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::FloodedClub;

namespace {

// More than one page of positions. A fold that takes the cube of it would not be waited for.
constexpr std::size_t events = 1'040;

void write(FloodedClub& club, const std::string& name) {
    const auto& all = test::control_floods();
    const auto flood = std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.name == name; });
    REQUIRE(flood != all.end());
    flood->write(club, events);
}

}  // namespace

TEST_CASE("What one officer writes to be a burden is folded to the same circle in any order") {
    for (const test::ControlFlood& flood : test::control_floods()) {
        CAPTURE(flood.name);
        FloodedClub club;
        flood.write(club, events);
        const CircleState state = club.story.state();
        CHECK(state.pending == 0);
        std::reverse(club.story.events.begin(), club.story.events.end());
        CHECK(club.story.state() == state);
    }
}

TEST_CASE("Two who remove one another in hundreds of logs are both gone") {
    FloodedClub club;
    write(club, "two against one another");
    const CircleState state = club.story.state();
    CHECK(state.members.at(club.liar.id()).removed);
    CHECK(state.members.at(club.other.id()).removed);
    CHECK(state.without_effect.empty());
}

TEST_CASE("Of a long chain of removals every other one has an effect") {
    FloodedClub club;
    write(club, "one after another");
    const CircleState state = club.story.state();
    CHECK(state.without_effect.size() == events / 4);
}

TEST_CASE("Who was removed and let in hundreds of times is where the last word left them") {
    FloodedClub club;
    write(club, "one in and out, officer");
    CHECK_FALSE(club.story.state().members.at(club.other.id()).removed);
    club.say(test::CircleStory::remove(club.other), kind::remove);
    CHECK(club.story.state().members.at(club.other.id()).removed);
}

TEST_CASE("What somebody removed hundreds of times did unseen is void") {
    FloodedClub club;
    write(club, "acts of one removed often");
    const CircleState state = club.story.state();
    CHECK(state.members.at(club.other.id()).removed);
    CHECK(state.without_effect.size() == events / 2);
}
