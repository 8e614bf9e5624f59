// Random histories of a circle, told by nodes that know different parts: one state, whatever the order of arrival.

#include <doctest/doctest.h>

#include "tests/support/protocol/circle_story.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CircleStory;
using test::Person;

namespace {

std::vector<ControlEvent> shuffled(std::vector<ControlEvent> events, test::SeededRandom& random) {
    for (std::size_t i = events.size(); i > 1; --i) std::swap(events[i - 1], events[random.next() % i]);
    return events;
}

struct Act {
    const Person& by;
    const Person& who;
    MemberRole role;
    bool is_club;
    int step;  // the first six let people in
};

std::pair<std::uint16_t, Bytes> random_act(CircleStory& story, test::SeededRandom& dice, const Act& act,
                                           const CircleState& known) {
    Bytes payload;
    std::uint16_t number = 0;
    switch (dice.next() % (act.step < 6 ? 2 : 12)) {
        case 0:
        case 1:
            number = kind::admit;
            payload = CircleStory::admit(act.who, act.is_club && act.step < 6 ? MemberRole::officer : act.role);
            break;
        case 2:
            number = kind::set_role;
            payload = CircleStory::set_role(act.who, act.role);
            break;
        case 3:
            number = kind::remove;
            payload = CircleStory::remove(act.who, dice.next() % 2 == 0 ? story.cut_now(act.who) : std::vector<Cut>{});
            break;
        case 4:
            number = kind::leave;
            payload = codec::encode(LeaveBody{story.cut_now(act.by)});
            break;
        case 5:
            number = kind::revoke;
            payload = codec::encode(RevokeBody{act.who.device_id(), "lost", story.cut_now(act.who)});
            break;
        case 6:
            number = kind::extend_cut;
            payload = codec::encode(ExtendCutBody{act.who.id(), {{CircleStory::log_of(act.who), act.step + 3U, {}}}});
            break;
        case 7:
        case 8:
        case 9:
        case 10:
            number = kind::rotate_key;
            payload = story.rotation(known);
            break;
        default:
            number = kind::certify;
            payload = CircleStory::certify(second_device(act.by, story.random));
            break;
    }
    return {number, payload};
}

}  // namespace

TEST_CASE("hundreds of random histories fold to one state in any order") {
    std::size_t removals_with_effect = 0;
    std::size_t voided = 0;
    std::size_t returned = 0;
    std::size_t revoked = 0;
    std::size_t side_by_side = 0;
    for (std::uint64_t seed = 0; seed < 300; ++seed) {
        CAPTURE(seed);
        CircleStory story(1000 + seed);
        test::SeededRandom dice(seed);
        const bool is_club = dice.next() % 2 == 0;
        std::vector<Person> people;
        for (int i = 0; i < 6; ++i) people.push_back(story.person("p" + std::to_string(i)));
        story.found(people[0], is_club ? CircleKind::club : CircleKind::path,
                    is_club ? MemberRole::officer : MemberRole::newcomer, !is_club && dice.next() % 2 == 0);
        // Three nodes that know different parts; each new event builds on what its node knows.
        std::vector<std::vector<ControlEvent>> known(3, story.events);
        for (int step = 0; step < 24; ++step) {
            auto& here = known[dice.next() % 3];
            const Person& by = people[dice.next() % (step < 4 ? 1 : people.size())];
            const Person& who = people[dice.next() % people.size()];
            const auto role = static_cast<MemberRole>(dice.next() % 5 + 1);
            const auto heads = fold_control(story.circle, here).heads;
            const Act act{by, who, role, is_club, step};
            const auto [number, payload] = random_act(story, dice, act, fold_control(story.circle, here));
            story.say(by, number, payload, heads);
            here.push_back(story.events.back());
            if (dice.next() % 3 == 0) {
                const auto& other = known[dice.next() % 3];
                here.insert(here.end(), other.begin(), other.end());
            }
        }
        const CircleState state = story.state();
        REQUIRE(state.is_founded());
        REQUIRE(state.pending == 0);
        for (int round = 0; round < 4; ++round) {
            const CircleState again = fold_control(story.circle, shuffled(story.events, dice));
            REQUIRE(again == state);
        }
        for (const ControlEvent& e : story.events) {
            if (e.kind == kind::remove && !state.without_effect.contains(e.id)) ++removals_with_effect;
            if (state.without_effect.contains(e.id)) ++voided;
        }
        for (const auto& [id, member] : state.members) {
            if (member.removed) REQUIRE(state.cuts.contains(id));
            returned += !member.removed && state.cuts.contains(id) ? 1 : 0;
        }
        revoked += state.revoked.size();
        side_by_side += state.epochs.size() > 1 ? 1 : 0;
    }
    CHECK(removals_with_effect > 50);
    CHECK(voided > 50);
    CHECK(returned > 5);
    CHECK(revoked > 20);
    CHECK(side_by_side > 5);
}
