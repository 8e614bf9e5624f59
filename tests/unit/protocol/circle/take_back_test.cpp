// What members take back of their own words.

#include <doctest/doctest.h>

#include <limits>

#include "tests/support/protocol/circle_story.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CircleStory;
using test::Person;

namespace {

// A club of Ada, its officer, and Ben.
struct Club {
    CircleStory story{95};
    Person ada = story.person("Ada");
    Person ben = story.person("Ben");

    Club() {
        story.found(ada, CircleKind::club, MemberRole::officer);
        story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::mentor));
    }
    // `by` takes back what `whose` log says up to and with event `seq`.
    EventId take_back(const Person& by, const Person& whose, std::uint64_t seq) {
        const TakeBackBody body{{Cut{CircleStory::log_of(whose), seq, {}}}};
        return story.say(by, kind::take_back, codec::encode(body));
    }
    std::uint64_t shown_from(const Person& who) {
        return story.state().shown_from(who.device_id(), CircleStory::log_of(who));
    }
};

}  // namespace

TEST_CASE("whoever took nothing back is shown from the first event on") {
    Club club;
    club.take_back(club.ada, club.ada, 6);
    CHECK(club.shown_from(club.ben) == 0);
}

TEST_CASE("any member takes back words of theirs, and is shown from the event behind them on") {
    Club club;
    CHECK(club.story.has_effect(club.take_back(club.ben, club.ben, 6)));
    CHECK(club.shown_from(club.ben) == 7);
}

TEST_CASE("words taken back stay so when less is taken back later") {
    Club club;
    club.take_back(club.ben, club.ben, 6);
    club.take_back(club.ben, club.ben, 3);
    CHECK(club.shown_from(club.ben) == 7);
}

TEST_CASE("nobody takes back the words of somebody else") {
    Club club;
    club.take_back(club.ben, club.ada, 6);
    CHECK(club.shown_from(club.ada) == 0);
}

TEST_CASE("another log of the same member goes on being shown") {
    Club club;
    club.take_back(club.ben, club.ben, 6);
    const auto other = club.story.random.draw<LogId>();
    CHECK(club.story.state().shown_from(club.ben.device_id(), other) == 0);
}

TEST_CASE("the last number that an event can have takes back the whole log and does not wrap") {
    constexpr std::uint64_t last = std::numeric_limits<std::uint64_t>::max();
    Club club;
    club.take_back(club.ben, club.ben, last);
    CHECK(club.shown_from(club.ben) == last);
}

TEST_CASE("what a device outside the circle says is not shown from a later event on") {
    Club club;
    CHECK(club.shown_from(club.story.person("Eve")) == 0);
}
