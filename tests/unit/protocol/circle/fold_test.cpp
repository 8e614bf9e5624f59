// What follows from a set of control events, whatever their order: causal rights, removal, cuts.

#include <doctest/doctest.h>

#include "tests/support/protocol/circle_story.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CircleStory;
using test::Person;

namespace {

// A club with two officers who know one another.
struct Club {
    CircleStory story;
    Person ada;
    Person ben;
    std::vector<EventId> both;  // heads once both are in

    explicit Club(std::uint64_t seed) : story(seed), ada(story.person("Ada")), ben(story.person("Ben")) {
        story.found(ada, CircleKind::club, MemberRole::officer);
        story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::officer));
        both = story.state().heads;
    }
};

}  // namespace

TEST_CASE("without the founding event everything waits") {
    Club club(1);
    std::vector<ControlEvent> events = club.story.events;
    events.erase(events.begin());
    const CircleState state = fold_control(club.story.circle, events);
    CHECK_FALSE(state.is_founded());
    CHECK(state.pending == 1);
    CHECK(state.heads.empty());
}

TEST_CASE("a right whose source has not arrived is none, and is one when it does") {
    Club club(2);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ben, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    std::vector<ControlEvent> events = club.story.events;
    const ControlEvent missing = events[1];
    events.erase(events.begin() + 1);
    CHECK_FALSE(fold_control(club.story.circle, events).members.contains(cal.id()));
    events.push_back(missing);
    CHECK(fold_control(club.story.circle, events).members.contains(cal.id()));
}

TEST_CASE("a link that never arrives holds nothing up") {
    Club club(3);
    const EventId nowhere = club.story.random.draw<EventId>();
    const Person cal = club.story.person("Cal");
    auto heads = club.story.state().heads;
    heads.push_back(nowhere);
    club.story.say(club.ben, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), heads);
    CHECK(club.story.is_present(cal));
}

namespace {

// What is left of the story if a member's log counts no more from one of its events on.
CircleState without_log(const CircleStory& story, const Person& whose, std::uint64_t from_seq) {
    std::vector<ControlEvent> events = story.events;
    std::erase_if(events, [&](const ControlEvent& e) { return e.author == whose.device_id() && e.seq >= from_seq; });
    return fold_control(story.circle, events);
}

}  // namespace

TEST_CASE("somebody removed does not come back by forking the log on which the removal builds") {
    Club club(4);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    club.story.say(cal, kind::paper_box, codec::encode(PaperBoxBody{cal.box.pub}));
    club.story.say(club.ben, kind::remove, CircleStory::remove(cal, club.story.cut_now(cal)));
    REQUIRE_FALSE(club.story.is_present(cal));
    const CircleState state = without_log(club.story, cal, 0);
    CHECK(state.members.at(cal.id()).removed);
}

TEST_CASE("a device reported lost is not found again by forking its log") {
    Club club(5);
    const Person cal = club.story.person("Cal");
    const Person lost = second_device(cal, club.story.random);
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    club.story.say(cal, kind::certify, CircleStory::certify(lost));
    club.story.say(lost, kind::paper_box, codec::encode(PaperBoxBody{cal.box.pub}));
    club.story.say(club.ben, kind::revoke, CircleStory::revoke(lost, club.story.cut_now(lost)));
    REQUIRE(club.story.state().revoked.contains(lost.device_id()));
    CHECK(without_log(club.story, lost, 0).revoked.contains(lost.device_id()));
}

TEST_CASE("what is said next keeps everybody else's events in its past, whoever forks their log") {
    Club club(6);
    const Person cal = club.story.person("Cal");
    const Person dee = club.story.person("Dee");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    // Dee is an officer by Ben's word, which Dee knows of by Cal's event alone: Cal's is the only head.
    club.story.say(club.ben, kind::admit, CircleStory::admit(dee, MemberRole::officer));
    club.story.say(cal, kind::paper_box, codec::encode(PaperBoxBody{cal.box.pub}));
    club.story.say(dee, kind::remove, CircleStory::remove(cal, club.story.cut_now(cal)));
    REQUIRE_FALSE(club.story.is_present(cal));
    CHECK(without_log(club.story, cal, 0).members.at(cal.id()).removed);
}

TEST_CASE("the same event twice is the same as once") {
    Club club(3);
    std::vector<ControlEvent> events = club.story.events;
    events.insert(events.end(), club.story.events.begin(), club.story.events.end());
    CHECK(fold_control(club.story.circle, events) == club.story.state());
}

TEST_CASE("a right is judged by what the author had seen, not by what came first") {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {  // either order of the two ids
        Club club(100 + seed);
        const Person cal = club.story.person("Cal");
        const EventId demoted =
            club.story.say(club.ada, kind::set_role, CircleStory::set_role(club.ben, MemberRole::mentor), club.both);
        const EventId admitted =
            club.story.say(club.ben, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), club.both);
        CHECK(club.story.has_effect(demoted));
        CHECK(club.story.has_effect(admitted));
        CHECK_FALSE(club.story.has_effect(
            club.story.say(club.ben, kind::admit, CircleStory::admit(club.story.person("Dee"), MemberRole::newcomer))));
    }
}

TEST_CASE("nobody hides what they said themself: a log's own events are its author's past") {
    Club club(4);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ben, kind::set_role, CircleStory::set_role(club.ben, MemberRole::mentor));
    CHECK_FALSE(club.story.has_effect(
        club.story.say(club.ben, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), club.both)));
}

TEST_CASE("two officers who let in the same person side by side let in one member with both devices") {
    Club club(5);
    const Person cal = club.story.person("Cal");
    const Person cal_two = second_device(cal, club.story.random);
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), club.both);
    club.story.say(club.ben, kind::admit, CircleStory::admit(cal_two, MemberRole::newcomer), club.both);
    const CircleState state = club.story.state();
    CHECK(state.members.size() == 3);
    CHECK(state.member_of(cal.device_id()) != nullptr);
    CHECK(state.member_of(cal_two.device_id()) != nullptr);
    CHECK(state.heads.size() == 2);
}

TEST_CASE("events up to the cut of a removed member count, later ones do not") {
    Club club(6);
    const LogId log = CircleStory::log_of(club.ben);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben, {{log, 7, {}}}));
    const CircleState state = club.story.state();
    CHECK(state.counts(club.ben.device_id(), log, 7));
    CHECK_FALSE(state.counts(club.ben.device_id(), log, 8));
    CHECK_FALSE(state.counts(club.ben.device_id(), club.story.random.draw<LogId>(), 0));
    CHECK_FALSE(state.present_member(club.ben.device_id()).has_value());
}

TEST_CASE("of several removals the strictest cut counts, and a log that one leaves out counts for nothing") {
    Club club(7);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    const auto heads = club.story.state().heads;
    const LogId one = CircleStory::log_of(cal);
    const LogId two = club.story.random.draw<LogId>();
    const LogId three = club.story.random.draw<LogId>();
    club.story.say(club.ada, kind::remove, CircleStory::remove(cal, {{one, 9, {}}, {two, 4, {}}, {one, 12, {}}}),
                   heads);
    club.story.say(club.ben, kind::remove, CircleStory::remove(cal, {{one, 5, {}}, {three, 4, {}}}), heads);
    const CircleState state = club.story.state();
    CHECK(state.cuts.at(cal.id()) == std::map<LogId, Cut>{{one, Cut{one, 5, {}}}});
    CHECK(state.counts(cal.device_id(), one, 5));
    CHECK_FALSE(state.counts(cal.device_id(), one, 6));
    CHECK_FALSE(state.counts(cal.device_id(), two, 0));
}

TEST_CASE("what a removed officer did unseen, beyond the cut, is void") {
    Club club(8);
    const Person cal = club.story.person("Cal");
    const EventId removed =
        club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben, club.story.cut_now(club.ben)), club.both);
    const EventId admitted =
        club.story.say(club.ben, kind::admit, CircleStory::admit(cal, MemberRole::officer), club.both);
    CHECK(club.story.has_effect(removed));
    CHECK_FALSE(club.story.has_effect(admitted));
    CHECK_FALSE(club.story.state().members.contains(cal.id()));
}

TEST_CASE("what a removed officer did up to the cut stands") {
    Club club(9);
    const Person cal = club.story.person("Cal");
    const EventId admitted =
        club.story.say(club.ben, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), club.both);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben, club.story.cut_now(club.ben)), club.both);
    CHECK(club.story.has_effect(admitted));
    CHECK_FALSE(club.story.is_present(club.ben));
    CHECK(club.story.is_present(cal));
}

TEST_CASE("a removal cannot undo what its author had seen and let stand") {
    Club club(10);
    // No cut at all for the founder, who let Ben in: Ben stays, and so does the circle.
    CHECK(club.story.has_effect(club.story.say(club.ben, kind::remove, CircleStory::remove(club.ada))));
    const CircleState state = club.story.state();
    CHECK(state.is_founded());
    CHECK_FALSE(club.story.is_present(club.ada));
    CHECK(club.story.is_present(club.ben));
    CHECK_FALSE(state.counts(club.ada.device_id(), CircleStory::log_of(club.ada), 0));
}

TEST_CASE("a puppet let in by a removed officer falls with them, and all that the puppet did") {
    Club club(11);
    const Person pup = club.story.person("Pup");
    const Person cal = club.story.person("Cal");
    const Person dee = club.story.person("Dee");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    club.story.say(club.ada, kind::admit, CircleStory::admit(dee, MemberRole::officer));
    const auto with_cal = club.story.state().heads;
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben, club.story.cut_now(club.ben)), with_cal);
    const EventId let_in =
        club.story.say(club.ben, kind::admit, CircleStory::admit(pup, MemberRole::officer), with_cal);
    const EventId raised =
        club.story.say(club.ben, kind::set_role, CircleStory::set_role(cal, MemberRole::officer), {let_in});
    const EventId by_pup = club.story.say(pup, kind::remove, CircleStory::remove(dee), {raised});
    const EventId by_raised = club.story.say(cal, kind::remove, CircleStory::remove(dee), {raised});
    for (const EventId& id : {let_in, raised, by_pup, by_raised}) CHECK_FALSE(club.story.has_effect(id));
    CHECK(club.story.is_present(dee));
    CHECK(club.story.member(cal).role == MemberRole::newcomer);
}

TEST_CASE("two who remove one another side by side are both removed") {
    for (std::uint64_t seed = 0; seed < 10; ++seed) {
        Club club(200 + seed);
        const auto cut_ben = club.story.cut_now(club.ben);
        const auto cut_ada = club.story.cut_now(club.ada);
        club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben, cut_ben), club.both);
        club.story.say(club.ben, kind::remove, CircleStory::remove(club.ada, cut_ada), club.both);
        CHECK_FALSE(club.story.is_present(club.ada));
        CHECK_FALSE(club.story.is_present(club.ben));
        CHECK(club.story.state().without_effect.empty());
    }
}

TEST_CASE("three who remove one another in a ring are all removed") {
    Club club(12);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::officer));
    const auto heads = club.story.state().heads;
    const auto cut_ada = club.story.cut_now(club.ada);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben), heads);
    club.story.say(club.ben, kind::remove, CircleStory::remove(cal), heads);
    club.story.say(cal, kind::remove, CircleStory::remove(club.ada, cut_ada), heads);
    CHECK_FALSE(club.story.is_present(club.ada));
    CHECK_FALSE(club.story.is_present(club.ben));
    CHECK_FALSE(club.story.is_present(cal));
}

TEST_CASE("a removed officer's late removals of others are void, but not the one of who removed them") {
    Club club(13);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::officer));
    const auto heads = club.story.state().heads;
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben), heads);
    const EventId at_cal = club.story.say(club.ben, kind::remove, CircleStory::remove(cal), heads);
    CHECK_FALSE(club.story.has_effect(at_cal));
    CHECK(club.story.is_present(cal));
    CHECK(club.story.is_present(club.ada));
}

TEST_CASE("a removal that only a void removal would void stands") {
    Club club(18);
    const Person cal = club.story.person("Cal");
    const Person dee = club.story.person("Dee");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::officer));
    club.story.say(club.ada, kind::admit, CircleStory::admit(dee, MemberRole::officer));
    const auto heads = club.story.state().heads;
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben), heads);
    club.story.say(club.ben, kind::remove, CircleStory::remove(cal), heads);
    club.story.say(cal, kind::remove, CircleStory::remove(dee), heads);
    CHECK_FALSE(club.story.is_present(club.ben));
    CHECK(club.story.is_present(cal));
    CHECK_FALSE(club.story.is_present(dee));
}

TEST_CASE("who has seen a removal sees what it voided as void, on any branch") {
    for (std::uint64_t seed = 0; seed < 30; ++seed) {  // every order that the ids give
        Club club(400 + seed);
        CircleStory& story = club.story;
        const Person cal = story.person("Cal");
        const Person pup = story.person("Pup");
        story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::officer));
        const auto heads = story.state().heads;
        // Somebody else's branch, which Cal never sees.
        story.say(cal, kind::certify, CircleStory::certify(second_device(cal, story.random)), heads);
        const Person aside = second_device(club.ada, story.random);
        const EventId device = story.say(club.ada, kind::certify, CircleStory::certify(aside), heads);
        story.say(aside, kind::admit, CircleStory::admit(story.person("Eli"), MemberRole::newcomer), {device});
        const EventId let_in = story.say(club.ben, kind::admit, CircleStory::admit(pup, MemberRole::newcomer), heads);
        const EventId seen =
            story.say(cal, kind::admit, CircleStory::admit(story.person("Dee"), MemberRole::newcomer), {let_in});
        const EventId removed = story.say(club.ada, kind::remove, CircleStory::remove(club.ben), heads);
        const EventId raised =
            story.say(cal, kind::set_role, CircleStory::set_role(pup, MemberRole::mentor), {seen, removed});
        CHECK_FALSE(story.has_effect(let_in));
        CHECK(story.has_effect(seen));
        CHECK_FALSE(story.has_effect(raised));
    }
}

TEST_CASE("a removal seen by its victim ends their rights") {
    Club club(14);
    const EventId removed = club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben), club.both);
    CHECK_FALSE(
        club.story.has_effect(club.story.say(club.ben, kind::remove, CircleStory::remove(club.ada), {removed})));
    CHECK(club.story.is_present(club.ada));
}

TEST_CASE("a removal holds though the admission that it knew is void, and another that stands knows nothing of it") {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {  // either order of the removal and the other admission
        Club club(400 + seed);
        const Person second = test::second_device(club.ben, club.story.random);
        const Person cal = club.story.person("Cal");
        club.story.say(club.ben, kind::certify, CircleStory::certify(second));
        const std::vector<EventId> without_cal = club.story.state().heads;
        club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
        club.story.say(club.ben, kind::remove, CircleStory::remove(cal));
        club.story.say(second, kind::remove, CircleStory::remove(club.ada), without_cal);
        club.story.say(second, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), without_cal);
        CHECK(club.story.state().members.contains(cal.id()));
        CHECK_FALSE(club.story.is_present(cal));
    }
}

TEST_CASE("who was hit by a void removal alone goes on as before") {
    Club club(15);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::officer));
    const auto heads = club.story.state().heads;
    const EventId good = club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben), heads);
    const EventId bad = club.story.say(club.ben, kind::remove, CircleStory::remove(cal), heads);
    // Cal has seen both.
    CHECK(club.story.has_effect(club.story.say(
        cal, kind::admit, CircleStory::admit(club.story.person("Dee"), MemberRole::newcomer), {good, bad})));
}

TEST_CASE("a crowd of idle forks does not push the true head out of the links") {
    Club club(16);
    const Person cal = club.story.person("Cal");
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), club.both);
    const auto early = club.story.state().heads;
    for (int i = 0; i < 6; ++i) {
        club.story.say(club.ada, kind::admit, CircleStory::admit(club.story.person("more"), MemberRole::newcomer));
    }
    const auto main_head = club.story.state().heads;
    REQUIRE_FALSE(main_head.empty());
    // Cal adds device after device, and each of those one more: as many forks, on a past longer than Ada's.
    for (int i = 0; i < 40; ++i) {
        const Person fork = second_device(cal, club.story.random);
        const EventId added = club.story.say(cal, kind::certify, CircleStory::certify(fork), early);
        club.story.say(fork, kind::certify, CircleStory::certify(second_device(cal, club.story.random)), {added});
    }
    REQUIRE(club.story.state().without_effect.empty());
    const auto heads = club.story.state().heads;
    CHECK(heads.size() == limits::control_heads_max);
    CHECK(std::find(heads.begin(), heads.end(), main_head.front()) != heads.end());
}

namespace {

// The event and all that it builds on: links, earlier events of its log, the founding event, and theirs.
std::vector<ControlEvent> with_past(const CircleStory& story, const EventId& id) {
    std::set<EventId> wanted{EventId{story.circle.data}};
    std::vector<EventId> todo{id};
    while (!todo.empty()) {
        const EventId at = todo.back();
        todo.pop_back();
        if (!wanted.insert(at).second) continue;
        for (const ControlEvent& e : story.events) {
            if (e.id != at) continue;
            todo.insert(todo.end(), e.ctl.begin(), e.ctl.end());
            for (const ControlEvent& before : story.events) {
                if (before.log == e.log && before.seq < e.seq) todo.push_back(before.id);
            }
        }
    }
    std::vector<ControlEvent> out;
    for (const ControlEvent& e : story.events) {
        if (wanted.contains(e.id)) out.push_back(e);
    }
    return out;
}

}  // namespace

TEST_CASE("an event's right is the same in its past alone as among all events, on many branches with removals") {
    std::size_t with_effect = 0;
    std::size_t voided = 0;
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        CAPTURE(seed);
        CircleStory story(5000 + seed);
        test::SeededRandom dice(seed);
        const bool removes = seed % 2 == 1;
        std::vector<Person> people;
        for (int i = 0; i < 12; ++i) people.push_back(story.person("p" + std::to_string(i)));
        story.found(people[0], CircleKind::club, MemberRole::officer);
        std::vector<std::vector<ControlEvent>> known(4, story.events);
        for (int step = 0; step < 60; ++step) {
            auto& here = known[dice.next() % known.size()];
            const CircleState state = fold_control(story.circle, here);
            std::vector<const Person*> present;
            for (const Person& person : people) {
                if (state.present_member(person.device_id())) present.push_back(&person);
            }
            if (present.empty()) break;
            const Person& by = *present[dice.next() % present.size()];
            const Person& who = people[dice.next() % people.size()];
            const auto role = dice.next() % 4 != 0 ? MemberRole::officer : MemberRole::mentor;
            if (removes && dice.next() % 8 == 0) {
                story.say(by, kind::remove, CircleStory::remove(who, story.cut_now(who)), state.heads);
            } else if (state.members.contains(who.id())) {
                story.say(by, kind::set_role, CircleStory::set_role(who, role), state.heads);
            } else {
                story.say(by, kind::admit, CircleStory::admit(who, role), state.heads);
            }
            here.push_back(story.events.back());
            if (dice.next() % 6 == 0) {
                const auto& other = known[dice.next() % known.size()];
                here.insert(here.end(), other.begin(), other.end());
            }
        }
        const CircleState all = story.state();
        for (const ControlEvent& e : story.events) {
            const bool by_past = !fold_control(story.circle, with_past(story, e.id)).without_effect.contains(e.id);
            const bool now = !all.without_effect.contains(e.id);
            if (now) REQUIRE(by_past);
            if (!removes) REQUIRE(now == by_past);
            with_effect += now ? 1 : 0;
            voided += by_past && !now ? 1 : 0;
        }
    }
    CHECK(with_effect > 500);
    CHECK(voided > 20);
}

TEST_CASE("taking away an event that had no effect and that nothing builds on changes nothing") {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        Club club(300 + seed);
        const CircleState before = club.story.state();
        const Person eve = club.story.person("Eve");
        club.story.say(eve, kind::remove, CircleStory::remove(club.ada));
        CircleState after = club.story.state();
        after.without_effect.clear();
        CHECK(after == before);
    }
}

TEST_CASE("a thousand members fold in one pass") {
    CircleStory story(17);
    const Person ada = story.person("Ada");
    EventId last = story.found(ada, CircleKind::club, MemberRole::officer);
    for (int i = 0; i < 1000; ++i) {
        const Person who = story.person("m");
        last = story.say(ada, kind::admit, CircleStory::admit(who, MemberRole::newcomer), {last});
    }
    CHECK(story.state().members.size() == 1001);
}
