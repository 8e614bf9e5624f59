// What a dishonest or unlucky member can do, and the rule that answers it, one named test for each. Rules of other
// layers have theirs where they live:
//
//   case                                   rule                                              test file
//   one place, two events                  a proof of both headers; nothing from there on    event/fork_proof_test,
//                                          counts, the session goes on                       sync/session_forks_test,
//                                                                                            store/event_log/forks_test
//   absurd clock                           never invalid, not followed; causality first      store/event_log_test,
//                                                                                            node/commands/circles_test
//   no right                               kept, no effect                                   here, rights_test
//   an old ctl (back-dating)               one's own log is one's past; the cut decides      here, fold_test
//   removed, then back-dating              beyond the cut nothing counts, whenever it came   here
//   several removals                       strictest cut, log by log                         here, fold_test
//   two removals of one another            both stand                                        here, fold_test
//   honest work beyond a cut               an extension that knows all removals              here
//   lost device                            as a removal, for one device and for good         here
//   parents never come                     pending, no effect; a gap in a log is asked for   here, fold_test,
//                                                                                            sync/session_rules_test
//   replay in another circle               the circle is in the id and in the seal           here, event/event_test
//   replay of an old session               the channel's counters; the first words of a      handshake/channel_test,
//                                          handshake prove nobody                            net/hostile_peer_test
//   oversized                              refused before memory is taken                    event/chain_test,
//                                                                                            codec/archive_test
//   two machines with one device key       as one place, two events; a copy of a store       forks_test,
//                                          begins new logs                                   store/upkeep/instance_test
//   withheld events                        roots compared at the end, unequal is counted;    sync/session_test,
//                                          receipts are held against a courier               node/net/courier_test
//   wrong courier                          cannot change a byte, read, or forge; what it     event/chain_test,
//                                          lacks of what it signed for is found              node/net/courier_test
//   flood by a member                      a window, a courier's quota; a cut is the cure    here, session_flow_test,
//                                                                                            store/courier
//   nonsense, newer kinds                  kept, no effect, judged anew by a newer program   here, rights_test
//   a fold that breaks down                never, whatever the bytes                         here
//   false reader list in a rotation        no effect                                         here, epochs_test
//   rotations side by side                 one order for everybody                           epochs_test
//
// Each rule that stands here or in the fold can be switched off by tests/mutants/rules.sh, and then a test fails.

#include <doctest/doctest.h>

#include "protocol/event/event.hpp"
#include "tests/support/protocol/circle_story.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CircleStory;
using test::Person;

namespace {

// A club of two officers and a member.
struct Club {
    CircleStory story;
    Person ada;
    Person ben;
    Person cal;
    std::vector<EventId> all;  // heads once everybody is in

    explicit Club(std::uint64_t seed)
        : story(seed), ada(story.person("Ada")), ben(story.person("Ben")), cal(story.person("Cal")) {
        story.found(ada, CircleKind::club, MemberRole::officer);
        story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::officer));
        story.say(ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
        all = story.state().heads;
    }
    LogId log(const Person& device) const { return CircleStory::log_of(device); }
    EventId remove(const Person& by, const Person& who, std::uint64_t last) {
        return story.say(by, kind::remove, CircleStory::remove(who, {{log(who), last, {}}}));
    }
    EventId let_in_again(const Person& by, const Person& who) {
        return story.say(by, kind::admit, CircleStory::admit(who, MemberRole::newcomer));
    }
};

}  // namespace

TEST_CASE("who has no right says what they like, and nothing follows") {
    Club club(1);
    const Person eve = club.story.person("Eve");
    for (const Person* by : std::initializer_list<const Person*>{&club.cal, &eve}) {
        for (const auto& [number, payload] : std::initializer_list<std::pair<std::uint16_t, Bytes>>{
                 {kind::admit, CircleStory::admit(eve, MemberRole::officer)},
                 {kind::set_role, CircleStory::set_role(club.cal, MemberRole::officer)},
                 {kind::remove, CircleStory::remove(club.ada)},
                 {kind::revoke, CircleStory::revoke(club.ada)},
                 {kind::extend_cut, CircleStory::extend(club.ada, {})},
                 {kind::rotate_key, club.story.rotation(club.story.state())},
                 {kind::consent, CircleStory::consent({1}, {2})}}) {
            const CircleState before = club.story.state();
            CAPTURE(number);
            CHECK_FALSE(club.story.has_effect(club.story.say(*by, number, payload)));
            CircleState after = club.story.state();
            after.without_effect = before.without_effect;
            CHECK(after == before);
        }
    }
}

TEST_CASE("an old ctl does not give back a right that one's own log has given up") {
    Club club(2);
    club.story.say(club.ben, kind::leave, CircleStory::leave(club.story.cut_now(club.ben)));
    const Person eve = club.story.person("Eve");
    CHECK_FALSE(club.story.has_effect(
        club.story.say(club.ben, kind::admit, CircleStory::admit(eve, MemberRole::officer), club.all)));
}

TEST_CASE("back-dated events of a removed member never count, though they arrived first") {
    Club club(3);
    const Person eve = club.story.person("Eve");
    const EventId late = club.story.say(club.ben, kind::admit, CircleStory::admit(eve, MemberRole::officer), club.all);
    CHECK(club.story.is_present(eve));
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben), club.all);
    CHECK_FALSE(club.story.has_effect(late));
    CHECK_FALSE(club.story.is_present(eve));
    CHECK_FALSE(club.story.state().counts(club.ben.device_id(), club.log(club.ben), 0));
}

TEST_CASE("a member who leaves names their own last events, and is not heard beyond them") {
    Club club(4);
    const EventId left = club.story.say(club.cal, kind::leave, CircleStory::leave({{club.log(club.cal), 3, {}}}));
    CHECK(club.story.has_effect(left));
    CHECK_FALSE(club.story.is_present(club.cal));
    CHECK(club.story.member(club.cal).left);
    const CircleState state = club.story.state();
    CHECK(state.counts(club.cal.device_id(), club.log(club.cal), 3));
    CHECK_FALSE(state.counts(club.cal.device_id(), club.log(club.cal), 4));
}

TEST_CASE("who was removed as well has not just left, and the stricter cut counts") {
    Club club(5);
    club.story.say(club.cal, kind::leave, CircleStory::leave({{club.log(club.cal), 9, {}}}), club.all);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal, {{club.log(club.cal), 2, {}}}), club.all);
    CHECK_FALSE(club.story.member(club.cal).left);
    CHECK(club.story.state().cuts.at(club.cal.id()).at(club.log(club.cal)).seq == 2);
}

TEST_CASE("who is removed after having left has still left, and no later than they said") {
    Club club(5);
    club.story.say(club.cal, kind::leave, CircleStory::leave({{club.log(club.cal), 2, {}}}));
    REQUIRE_FALSE(club.story.member(club.cal).seen_off);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal, {{club.log(club.cal), 9, {}}}));
    CHECK(club.story.member(club.cal).left);
    CHECK(club.story.member(club.cal).seen_off);
    CHECK(club.story.state().cuts.at(club.cal.id()).at(club.log(club.cal)).seq == 2);
}

TEST_CASE("somebody who has left is removed once, by whoever could have removed them before") {
    Club club(5);
    club.story.say(club.cal, kind::leave, CircleStory::leave());
    const Person eve = club.story.person("Eve");
    club.story.say(club.ada, kind::admit, CircleStory::admit(eve, MemberRole::newcomer));
    CHECK_FALSE(club.story.has_effect(club.story.say(eve, kind::remove, CircleStory::remove(club.cal))));
    CHECK(club.story.has_effect(club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal))));
    CHECK_FALSE(club.story.has_effect(club.story.say(club.ben, kind::remove, CircleStory::remove(club.cal))));
}

TEST_CASE("who was seen off comes back by an admission that knows of it") {
    Club club(5);
    club.story.say(club.cal, kind::leave, CircleStory::leave());
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal));
    club.story.say(club.ben, kind::admit, CircleStory::admit(club.cal, MemberRole::newcomer));
    CHECK(club.story.is_present(club.cal));
    CHECK_FALSE(club.story.member(club.cal).seen_off);
}

TEST_CASE("mutual removal removes both, by leaving or by losing a device just as well") {
    Club club(6);
    const Person ben_two = second_device(club.ben, club.story.random);
    club.story.say(club.ben, kind::certify, CircleStory::certify(ben_two));
    const auto known = club.story.state().heads;
    const auto cut_one = club.story.cut_now(club.ben);
    const auto cut_two = club.story.cut_now(ben_two);
    const EventId first = club.story.say(club.ben, kind::revoke, CircleStory::revoke(ben_two, cut_two), known);
    const EventId second = club.story.say(ben_two, kind::revoke, CircleStory::revoke(club.ben, cut_one), known);
    CHECK(club.story.has_effect(first));
    CHECK(club.story.has_effect(second));
    CHECK(club.story.state().revoked.size() == 2);
}

TEST_CASE("a lost device is silent beyond its cut, and what it did unseen is void") {
    Club club(7);
    const Person ben_two = second_device(club.ben, club.story.random);
    club.story.say(club.ben, kind::certify, CircleStory::certify(ben_two));
    const auto known = club.story.state().heads;
    const Person eve = club.story.person("Eve");
    const EventId by_thief = club.story.say(ben_two, kind::admit, CircleStory::admit(eve, MemberRole::officer), known);
    const EventId lost =
        club.story.say(club.ben, kind::revoke, CircleStory::revoke(ben_two, {{club.log(club.ben), 9, {}}}), known);
    CHECK(club.story.has_effect(lost));
    CHECK_FALSE(club.story.has_effect(by_thief));
    CHECK(club.story.is_present(club.ben));
    const CircleState state = club.story.state();
    CHECK_FALSE(state.present_member(ben_two.device_id()).has_value());
    CHECK_FALSE(state.counts(ben_two.device_id(), club.log(ben_two), 0));
    CHECK(state.counts(club.ben.device_id(), club.log(club.ben), 100));
}

TEST_CASE("a lost device's events up to its cut count") {
    Club club(8);
    const Person ben_two = second_device(club.ben, club.story.random);
    club.story.say(club.ben, kind::certify, CircleStory::certify(ben_two));
    club.story.say(club.ada, kind::revoke, CircleStory::revoke(ben_two, {{club.log(ben_two), 4, {}}}));
    CHECK(club.story.state().counts(ben_two.device_id(), club.log(ben_two), 4));
    CHECK_FALSE(club.story.state().counts(ben_two.device_id(), club.log(ben_two), 5));
}

TEST_CASE("a revoked device never comes back: not by a certificate, not with a member let in again") {
    Club club(9);
    const Person cal_two = second_device(club.cal, club.story.random);
    club.story.say(club.cal, kind::certify, CircleStory::certify(cal_two));
    club.story.say(club.cal, kind::revoke, CircleStory::revoke(cal_two));
    CHECK_FALSE(club.story.has_effect(club.story.say(club.cal, kind::certify, CircleStory::certify(cal_two))));
    club.remove(club.ada, club.cal, 5);
    CHECK(club.story.has_effect(
        club.story.say(club.ada, kind::admit, CircleStory::admit(cal_two, MemberRole::newcomer))));
    CHECK(club.story.is_present(club.cal));
    CHECK_FALSE(club.story.state().present_member(cal_two.device_id()).has_value());
}

TEST_CASE("a lost device stays lost where its certificate has lost its effect") {
    Club club(18);
    const Person cal_two = second_device(club.cal, club.story.random);
    const auto before = club.story.state().heads;
    const EventId certificate = club.story.say(club.cal, kind::certify, CircleStory::certify(cal_two));
    club.story.say(club.ben, kind::revoke, CircleStory::revoke(cal_two));
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal), before);
    REQUIRE_FALSE(club.story.has_effect(certificate));
    CHECK(club.story.state().revoked.contains(cal_two.device_id()));
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal_two, MemberRole::newcomer));
    CHECK(club.story.is_present(club.cal));
    CHECK_FALSE(club.story.state().present_member(cal_two.device_id()).has_value());
}

TEST_CASE("a device does not report itself lost, and a member's device is revoked by those who could remove them") {
    Club club(10);
    CHECK_FALSE(club.story.has_effect(club.story.say(club.cal, kind::revoke, CircleStory::revoke(club.cal))));
    CHECK_FALSE(club.story.has_effect(club.story.say(club.cal, kind::revoke, CircleStory::revoke(club.ben))));
    CHECK(club.story.has_effect(club.story.say(club.ben, kind::revoke, CircleStory::revoke(club.cal))));
}

TEST_CASE("honest work beyond a cut counts after an extension, up to the furthest one") {
    Club club(11);
    club.remove(club.ada, club.cal, 2);
    club.story.say(club.ada, kind::extend_cut, CircleStory::extend(club.cal, {{club.log(club.cal), 7, {}}}));
    club.story.say(club.ben, kind::extend_cut, CircleStory::extend(club.cal, {{club.log(club.cal), 5, {}}}));
    const CircleState state = club.story.state();
    CHECK(state.counts(club.cal.device_id(), club.log(club.cal), 7));
    CHECK_FALSE(state.counts(club.cal.device_id(), club.log(club.cal), 8));
    CHECK_FALSE(club.story.is_present(club.cal));
}

TEST_CASE("an extension that does not know every removal changes nothing") {
    Club club(12);
    const EventId first =
        club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal, {{club.log(club.cal), 4, {}}}), club.all);
    club.story.say(club.ada, kind::extend_cut, CircleStory::extend(club.cal, {{club.log(club.cal), 9, {}}}), {first});
    CHECK(club.story.state().cuts_of(club.cal.id()).at(club.log(club.cal)).seq == 9);
    club.story.say(club.ben, kind::remove, CircleStory::remove(club.cal, {{club.log(club.cal), 3, {}}}), club.all);
    CHECK(club.story.state().cuts_of(club.cal.id()).at(club.log(club.cal)).seq == 3);
}

TEST_CASE("an extension reaches a lost device's log, and brings back words, never acts") {
    Club club(13);
    const Person ben_two = second_device(club.ben, club.story.random);
    club.story.say(club.ben, kind::certify, CircleStory::certify(ben_two));
    const auto known = club.story.state().heads;
    const Person eve = club.story.person("Eve");
    const EventId unseen = club.story.say(ben_two, kind::admit, CircleStory::admit(eve, MemberRole::officer), known);
    club.story.say(club.ben, kind::revoke, CircleStory::revoke(ben_two), known);
    club.story.say(club.ben, kind::extend_cut, CircleStory::extend(club.ben, {{club.log(ben_two), 6, {}}}));
    CHECK(club.story.state().counts(ben_two.device_id(), club.log(ben_two), 6));
    CHECK_FALSE(club.story.has_effect(unseen));
}

TEST_CASE("somebody removed is back after an admission that knows of it, as who they are let in as") {
    Club club(14);
    club.remove(club.ada, club.ben, 2);
    CHECK(club.story.has_effect(club.let_in_again(club.ada, club.ben)));
    CHECK(club.story.is_present(club.ben));
    CHECK(club.story.member(club.ben).role == MemberRole::newcomer);
    const Person eve = club.story.person("Eve");
    CHECK_FALSE(
        club.story.has_effect(club.story.say(club.ben, kind::admit, CircleStory::admit(eve, MemberRole::newcomer))));
}

TEST_CASE("an admission made side by side with a removal does not undo it") {
    Club club(15);
    club.remove(club.ada, club.cal, 2);
    const auto known = club.story.state().heads;
    club.story.say(club.ada, kind::admit, CircleStory::admit(club.cal, MemberRole::newcomer), known);
    CHECK(club.story.is_present(club.cal));
    club.story.say(club.ben, kind::remove, CircleStory::remove(club.cal), club.all);  // unseen by that admission
    CHECK_FALSE(club.story.is_present(club.cal));
}

TEST_CASE("nobody lets themself in again") {
    Club club(16);
    club.remove(club.ada, club.ben, 2);
    CHECK_FALSE(club.story.has_effect(club.let_in_again(club.ben, club.ben)));
    CHECK_FALSE(club.story.has_effect(
        club.story.say(club.ben, kind::admit, CircleStory::admit(club.ben, MemberRole::officer), club.all)));
    CHECK_FALSE(club.story.is_present(club.ben));
}

TEST_CASE("after a return the old log stays cut, and a log begun with knowledge of the return counts whole") {
    Club club(17);
    club.remove(club.ada, club.cal, 2);
    const EventId back = club.let_in_again(club.ada, club.cal);
    const LogId fresh = club.story.random.draw<LogId>();
    const CircleState state = club.story.state();
    CHECK(state.counts(club.cal.device_id(), club.log(club.cal), 2, club.all));
    CHECK_FALSE(state.counts(club.cal.device_id(), club.log(club.cal), 3, club.all));  // said in between
    CHECK_FALSE(state.counts(club.cal.device_id(), fresh, 0, club.all));               // begun in between
    CHECK(state.counts(club.cal.device_id(), fresh, 0, {back}));
    const EventId later = club.story.say(club.ada, kind::set_role, CircleStory::set_role(club.ben, MemberRole::mentor));
    CHECK(club.story.state().counts(club.cal.device_id(), fresh, 12, {later}));
}

TEST_CASE("who came back acts again, and a second removal cuts the new log where it says") {
    Club club(18);
    club.remove(club.ada, club.cal, 2);
    const EventId back = club.let_in_again(club.ada, club.cal);
    const Person device = second_device(club.cal, club.story.random);
    CHECK(club.story.has_effect(club.story.say(club.cal, kind::certify, CircleStory::certify(device))));
    const LogId fresh = club.story.random.draw<LogId>();
    club.story.say(club.ada, kind::remove,
                   CircleStory::remove(club.cal, {{club.log(club.cal), 2, {}}, {fresh, 8, {}}}));
    const CircleState state = club.story.state();
    CHECK_FALSE(club.story.is_present(club.cal));
    CHECK(state.counts(club.cal.device_id(), club.log(club.cal), 2, club.all));
    CHECK(state.counts(club.cal.device_id(), fresh, 8, {back}));
    CHECK_FALSE(state.counts(club.cal.device_id(), fresh, 9, {back}));
}

TEST_CASE("what somebody does after a return is not void for the removal before it, which left them nothing") {
    Club club(23);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.cal));
    club.let_in_again(club.ada, club.cal);
    const Person device = second_device(club.cal, club.story.random);
    CHECK(club.story.has_effect(club.story.say(club.cal, kind::certify, CircleStory::certify(device))));
    CHECK(club.story.state().devices.contains(device.device_id()));
}

TEST_CASE("a parent that never comes holds up neither its event nor anybody else's") {
    Club club(19);
    const Person eve = club.story.person("Eve");
    club.story.say(club.ada, kind::admit, CircleStory::admit(eve, MemberRole::newcomer),
                   {club.story.random.draw<EventId>()});
    const Person dee = club.story.person("Dee");
    club.story.say(club.ada, kind::admit, CircleStory::admit(dee, MemberRole::newcomer), club.all);
    CHECK(club.story.is_present(eve));
    CHECK(club.story.is_present(dee));
}

TEST_CASE("a body from one circle opens in no other, though the key is the same") {
    test::SeededRandom random(20);
    const SignKeys device = make_sign_keys(random);
    const AeadKey key = AeadKey::random(random);
    EventPlace place{random.draw<CircleId>(), random.draw<LogId>(), 3, random.draw<EventId>(), {}};
    const Event event = make_event(place, Body{{}, kind::note, {}, {}}, key, device.secret, random);
    EventHeader elsewhere = event.header;
    elsewhere.circle = random.draw<CircleId>();
    CHECK(open_body(event.header, event.sealed, key).has_value());
    CHECK_FALSE(open_body(elsewhere, event.sealed, key).has_value());
    CHECK(id_of(elsewhere) != id_of(event.header));
}

TEST_CASE("a flood ends where a cut says, however much was written") {
    Club club(21);
    club.remove(club.ada, club.cal, 10);
    CHECK(club.story.state().counts(club.cal.device_id(), club.log(club.cal), 10));
    CHECK_FALSE(club.story.state().counts(club.cal.device_id(), club.log(club.cal), 1'000'000));
}

TEST_CASE("a rotation with a false list of readers has no effect") {
    Club club(22);
    CircleState imagined = club.story.state();
    imagined.members.erase(club.cal.id());
    CHECK_FALSE(club.story.has_effect(club.story.say(club.ada, kind::rotate_key, club.story.rotation(imagined))));
    CHECK_FALSE(club.story.has_effect(
        club.story.say(club.ada, kind::rotate_key, club.story.rotation(club.story.state(), Readers::household))));
    CHECK(club.story.state().epochs.empty());
}

TEST_CASE("random bytes under every number leave the circle as it was") {
    Club club(23);
    const CircleState before = club.story.state();
    test::SeededRandom dice(24);
    for (int i = 0; i < 3000; ++i) {
        Bytes payload(dice.next() % 120);
        dice.fill(payload);
        club.story.say(club.ada, static_cast<std::uint16_t>(dice.next() % 30 + 1), payload, club.all);
    }
    const CircleState after = club.story.state();
    CHECK(after.members == before.members);
    CHECK(after.pending == 0);
}
