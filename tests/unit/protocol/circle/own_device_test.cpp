// A device that brings its own certificate: what is left to a member who lost every device.

#include <doctest/doctest.h>

#include "tests/support/protocol/circle_story.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CircleStory;
using test::Person;

namespace {

// Ada's club with Ben in it; Ben's machine is gone, and `fresh` is his new one.
struct Club {
    CircleStory story;
    Person ada;
    Person ben;
    Person fresh;

    explicit Club(std::uint64_t seed)
        : story(seed),
          ada(story.person("Ada")),
          ben(story.person("Ben")),
          fresh(test::second_device(ben, story.random)) {
        story.found(ada, CircleKind::club, MemberRole::officer);
        story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::mentor));
    }
    bool knows(const Person& device) const { return story.state().devices.contains(device.device_id()); }
};

}  // namespace

TEST_CASE("a member's new device brings its own certificate, and speaks for the member from then on") {
    Club club(1);
    CHECK(club.story.has_effect(club.story.say(club.fresh, kind::certify, CircleStory::certify(club.fresh))));
    CHECK(club.story.state().present_member(club.fresh.device_id()) == club.ben.id());
    CHECK(club.story.has_effect(club.story.say(club.fresh, kind::remove, CircleStory::remove(club.ben))));
}

TEST_CASE("the new device keeps the member's seat and no more") {
    Club club(2);
    club.story.say(club.fresh, kind::certify, CircleStory::certify(club.fresh));
    CHECK(club.story.member(club.ben).role == MemberRole::mentor);
    const Person cal = club.story.person("Cal");
    CHECK_FALSE(
        club.story.has_effect(club.story.say(club.fresh, kind::admit, CircleStory::admit(cal, MemberRole::newcomer))));
}

TEST_CASE("a founder's new device decides as the founder did") {
    Club club(3);
    const Person fresh = test::second_device(club.ada, club.story.random);
    club.story.say(fresh, kind::certify, CircleStory::certify(fresh));
    const Person cal = club.story.person("Cal");
    club.story.say(fresh, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    CHECK(club.story.is_present(cal));
}

TEST_CASE("a stranger's device does not bring itself in") {
    Club club(4);
    const Person eve = club.story.person("Eve");
    CHECK_FALSE(club.story.has_effect(club.story.say(eve, kind::certify, CircleStory::certify(eve))));
    CHECK_FALSE(club.knows(eve));
}

TEST_CASE("an unknown device brings in itself alone") {
    Club club(5);
    const Person other = test::second_device(club.ben, club.story.random);
    CHECK_FALSE(club.story.has_effect(club.story.say(club.fresh, kind::certify, CircleStory::certify(other))));
    const Person adas = test::second_device(club.ada, club.story.random);
    CHECK_FALSE(club.story.has_effect(club.story.say(club.fresh, kind::certify, CircleStory::certify(adas))));
}

TEST_CASE("a certificate that the identity did not sign brings nobody in") {
    Club club(6);
    DeviceCertificate forged = club.fresh.certificate();
    forged.by_member = club.fresh.certificate().by_device;
    const Bytes payload = codec::encode(CertifyBody{forged});
    CHECK_FALSE(club.story.has_effect(club.story.say(club.fresh, kind::certify, payload)));
    CHECK_FALSE(club.knows(club.fresh));
}

TEST_CASE("a removed member comes back on no new device") {
    Club club(7);
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben, club.story.cut_now(club.ben)));
    CHECK_FALSE(club.story.has_effect(club.story.say(club.fresh, kind::certify, CircleStory::certify(club.fresh))));
    CHECK_FALSE(club.knows(club.fresh));
}

TEST_CASE("a removed member who leaves the removal out of their links comes back no more than otherwise") {
    Club club(8);
    const auto before = club.story.state().heads;
    club.story.say(club.ada, kind::remove, CircleStory::remove(club.ben, club.story.cut_now(club.ben)));
    CHECK_FALSE(
        club.story.has_effect(club.story.say(club.fresh, kind::certify, CircleStory::certify(club.fresh), before)));
    CHECK_FALSE(club.knows(club.fresh));
}

TEST_CASE("a device counts for nobody before the member is in the event's past") {
    Club club(9);
    const Person cal = club.story.person("Cal");
    const Person cals = test::second_device(cal, club.story.random);
    const auto before = club.story.state().heads;
    club.story.say(club.ada, kind::admit, CircleStory::admit(cal, MemberRole::newcomer));
    CHECK_FALSE(club.story.has_effect(club.story.say(cals, kind::certify, CircleStory::certify(cals), before)));
}

TEST_CASE("what a new device rests on is the member's admission: it falls with it, and not with a later role") {
    Club club(10);
    const Person zed = club.story.person("Zed");
    club.story.say(club.ada, kind::admit, CircleStory::admit(zed, MemberRole::officer));
    const auto with_zed = club.story.state().heads;
    const Person cal = club.story.person("Cal");
    const Person cals = test::second_device(cal, club.story.random);
    club.story.say(zed, kind::admit, CircleStory::admit(cal, MemberRole::newcomer), with_zed);
    club.story.say(zed, kind::set_role, CircleStory::set_role(club.ben, MemberRole::officer));
    club.story.say(cals, kind::certify, CircleStory::certify(cals));
    club.story.say(club.fresh, kind::certify, CircleStory::certify(club.fresh));
    REQUIRE(club.knows(cals));
    club.story.say(club.ada, kind::remove, CircleStory::remove(zed), with_zed);
    CHECK_FALSE(club.knows(cals));
    CHECK(club.knows(club.fresh));
    CHECK(club.story.member(club.ben).role == MemberRole::mentor);
}

TEST_CASE("the same new device twice is one device, and the second event has no effect") {
    Club club(11);
    club.story.say(club.fresh, kind::certify, CircleStory::certify(club.fresh));
    CHECK_FALSE(club.story.has_effect(club.story.say(club.fresh, kind::certify, CircleStory::certify(club.fresh))));
    CHECK(club.knows(club.fresh));
}

TEST_CASE("a minor's new device changes no seat and opens no gate") {
    CircleStory story(12);
    const Person cy = story.person("Cy");
    story.found(cy, CircleKind::path, MemberRole::newcomer, true);
    const Person fresh = test::second_device(cy, story.random);
    story.say(fresh, kind::certify, CircleStory::certify(fresh));
    const CircleState state = story.state();
    CHECK(is_minors_path(state));
    CHECK(state.members.size() == 1);
    CHECK_FALSE(may_admit(state, cy.id(), MemberRole::mentor).has_value());
    const Person max = story.person("Max");
    CHECK_FALSE(story.has_effect(story.say(fresh, kind::admit, CircleStory::admit(max, MemberRole::mentor))));
}
