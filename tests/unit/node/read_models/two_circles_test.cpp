// What is said in one circle is no word in another, though the same people are in both: whoever is in one alone could
// not see it, and would see something else than the others.

#include "node/commands/meetings.hpp"
#include "node/read_models/shown_views.hpp"
#include "node/read_models/way_views.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using namespace ladderline::test;

namespace {

// Marten is in Nadia's path and in the club with her.
struct TwoCircles : Cast {
    CircleId path = newcomer.circle(CircleKind::path);
    CircleId club = mentor.circle(CircleKind::club);

    void say_in_club(std::uint16_t number, Bytes payload, std::vector<EventId> supersedes = {}) {
        must(mentor.log().append({club, number, std::move(payload), std::move(supersedes)}, clock.now));
        everybody_syncs();
    }
    std::optional<node::ShownView> card_on_path() {
        return must(node::shown_by(newcomer.db(), path, kind::card, mentor.id()));
    }
};

}  // namespace

TEST_CASE("A card in one circle takes the place of none in another") {
    TwoCircles t;
    const auto before = t.card_on_path();
    REQUIRE(before);
    t.say_in_club(kind::card, codec::encode(CardBody{"Marten", {}, {}, {}, {}, 0, {}, {}, {}, false}), {before->id});
    const auto after = t.card_on_path();
    REQUIRE(after);
    CHECK(after->id == before->id);
}

TEST_CASE("What became of an arranged contact is said where it was arranged") {
    TwoCircles t;
    node::MeetRequest request;
    request.with = "Marten";
    request.start = WallTime{t.clock.now.ms + 3'600'000};
    request.first_frequency = "146.94";
    must(node::meet(t.newcomer.context, request));
    t.everybody_syncs();
    const EventId meeting = must(node::meetings(t.newcomer.db(), t.path)).at(0).id;
    t.say_in_club(kind::meet_outcome, codec::encode(MeetOutcomeBody{meeting, MeetOutcome::made}));
    CHECK_FALSE(must(node::meetings(t.newcomer.db(), t.path)).at(0).outcome.has_value());
}
