// Who may do what in a circle.

#include <doctest/doctest.h>

#include "tests/support/protocol/circle_story.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::CircleStory;
using test::Person;

TEST_CASE("a founding event makes the founder the first member, with their device") {
    CircleStory story(1);
    const Person ada = story.person("Ada");
    const EventId id = story.found(ada, CircleKind::club, MemberRole::officer);
    const CircleState state = story.state();
    CHECK(state.kind == CircleKind::club);
    CHECK(state.name == "circle");
    CHECK(state.founder == ada.id());
    CHECK(state.members.at(ada.id()) == Member{MemberRole::officer, 4, "Ada", false, false, false});
    CHECK(state.devices.at(ada.device_id()) == ada.certificate());
    CHECK(state.heads == std::vector{id});
    CHECK(state.present_member(ada.device_id()) == ada.id());
}

TEST_CASE("only the event that names the circle can found it") {
    CircleStory story(2);
    const Person ada = story.person("Ada");
    const Person eve = story.person("Eve");
    story.found(ada, CircleKind::club, MemberRole::officer);
    const CircleId circle = story.circle;
    for (int i = 0; i < 20; ++i) {  // ids smaller and larger than the true one
        const Person other = second_device(eve, story.random);
        story.found(other, CircleKind::club, MemberRole::officer);
    }
    story.circle = circle;
    CHECK(story.state().founder == ada.id());
    CHECK_FALSE(story.state().members.contains(eve.id()));
    CHECK(story.state().without_effect.size() == 20);
}

TEST_CASE("a founder's seat must fit the kind of circle") {
    struct Row {
        CircleKind kind;
        MemberRole role;
        bool good;
    };
    for (const Row& row :
         {Row{CircleKind::path, MemberRole::newcomer, true}, Row{CircleKind::path, MemberRole::guardian, false},
          Row{CircleKind::path, MemberRole::mentor, false}, Row{CircleKind::club, MemberRole::officer, true},
          Row{CircleKind::club, MemberRole::mentor, false}, Row{CircleKind::desk, MemberRole::newcomer, true}}) {
        CircleStory story(3);
        story.found(story.person("Ada"), row.kind, row.role);
        CHECK(story.state().is_founded() == row.good);
    }
}

TEST_CASE("a founding event by another device than it certifies founds nothing") {
    CircleStory story(4);
    const Person ada = story.person("Ada");
    const FoundBody body{CircleKind::desk, "desk", MemberRole::newcomer, 0, "Ada", false, ada.certificate()};
    story.circle.data = story.say(story.person("Eve"), kind::found, codec::encode(body), {}).data;
    CHECK_FALSE(story.state().is_founded());
}

TEST_CASE("a desk takes in nobody") {
    CircleStory story(5);
    const Person ada = story.person("Ada");
    const Person ben = story.person("Ben");
    story.found(ada, CircleKind::desk, MemberRole::newcomer);
    CHECK_FALSE(story.has_effect(story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::mentor))));
}

TEST_CASE("in a club officers alone let in, give roles and remove") {
    CircleStory story(6);
    const Person ada = story.person("Ada");
    const Person ben = story.person("Ben");
    const Person cal = story.person("Cal");
    story.found(ada, CircleKind::club, MemberRole::officer);
    CHECK(story.has_effect(story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::mentor))));
    CHECK_FALSE(story.has_effect(story.say(ben, kind::admit, CircleStory::admit(cal, MemberRole::newcomer))));
    CHECK_FALSE(story.has_effect(story.say(ben, kind::set_role, CircleStory::set_role(ben, MemberRole::officer))));
    CHECK_FALSE(story.has_effect(story.say(ben, kind::remove, CircleStory::remove(ada))));
    CHECK(story.has_effect(story.say(ada, kind::set_role, CircleStory::set_role(ben, MemberRole::officer, 3))));
    CHECK(story.member(ben).role == MemberRole::officer);
    CHECK(story.has_effect(story.say(ben, kind::admit, CircleStory::admit(cal, MemberRole::newcomer))));
    CHECK(story.has_effect(story.say(ben, kind::remove, CircleStory::remove(ada, story.cut_now(ada)))));
    CHECK_FALSE(story.is_present(ada));
}

TEST_CASE("a guardian in a club decides about nobody else") {
    CircleStory story(7);
    const Person ada = story.person("Ada");
    const Person ben = story.person("Ben");
    story.found(ada, CircleKind::club, MemberRole::officer);
    story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::guardian));
    CHECK_FALSE(story.has_effect(story.say(ben, kind::remove, CircleStory::remove(ada))));
}

TEST_CASE("a stranger has no right") {
    CircleStory story(8);
    const Person ada = story.person("Ada");
    const Person eve = story.person("Eve");
    story.found(ada, CircleKind::club, MemberRole::officer);
    CHECK_FALSE(story.has_effect(story.say(eve, kind::admit, CircleStory::admit(eve, MemberRole::officer))));
    CHECK_FALSE(story.has_effect(story.say(eve, kind::certify, CircleStory::certify(eve))));
    CHECK_FALSE(story.state().counts(eve.device_id(), CircleStory::log_of(eve), 0));
}

TEST_CASE("a grown newcomer's path takes in whom they like, but no second newcomer and no officer") {
    CircleStory story(9);
    const Person nan = story.person("Nan");
    story.found(nan, CircleKind::path, MemberRole::newcomer);
    CHECK(story.has_effect(story.say(nan, kind::admit, CircleStory::admit(story.person("Max"), MemberRole::mentor))));
    CHECK_FALSE(
        story.has_effect(story.say(nan, kind::admit, CircleStory::admit(story.person("Two"), MemberRole::newcomer))));
    CHECK_FALSE(
        story.has_effect(story.say(nan, kind::admit, CircleStory::admit(story.person("Off"), MemberRole::officer))));
}

TEST_CASE("the newcomer of a path stays its newcomer") {
    CircleStory story(19);
    const Person nan = story.person("Nan");
    const Person gus = story.person("Gus");
    story.found(nan, CircleKind::path, MemberRole::newcomer);
    story.say(nan, kind::admit, CircleStory::admit(gus, MemberRole::guardian));
    CHECK_FALSE(story.has_effect(story.say(nan, kind::set_role, CircleStory::set_role(nan, MemberRole::mentor))));
    CHECK_FALSE(story.has_effect(story.say(gus, kind::set_role, CircleStory::set_role(nan, MemberRole::mentor))));
}

TEST_CASE("a mentor on a path lets in nobody and removes nobody but themself") {
    CircleStory story(10);
    const Person nan = story.person("Nan");
    const Person max = story.person("Max");
    story.found(nan, CircleKind::path, MemberRole::newcomer);
    story.say(nan, kind::admit, CircleStory::admit(max, MemberRole::mentor));
    CHECK_FALSE(
        story.has_effect(story.say(max, kind::admit, CircleStory::admit(story.person("Pal"), MemberRole::mentor))));
    CHECK_FALSE(story.has_effect(story.say(max, kind::remove, CircleStory::remove(nan))));
    CHECK(story.has_effect(story.say(max, kind::remove, CircleStory::remove(max, story.cut_now(max)))));
    CHECK_FALSE(story.is_present(max));
    CHECK(story.is_present(nan));
}

namespace {

struct MinorsPath {
    CircleStory story{11};
    Person nan = story.person("Nan");
    Person gus = story.person("Gus");
    Person sal = story.person("Sal");
    Person max = story.person("Max");
    MinorsPath() { story.found(nan, CircleKind::path, MemberRole::newcomer, true); }
    bool admit(const Person& by, const Person& who, MemberRole role, bool is_minor = false) {
        return story.has_effect(story.say(by, kind::admit, CircleStory::admit(who, role, is_minor)));
    }
    bool set_role(const Person& by, const Person& who, MemberRole role) {
        return story.has_effect(story.say(by, kind::set_role, CircleStory::set_role(who, role)));
    }
    bool remove(const Person& by, const Person& who) {
        return story.has_effect(story.say(by, kind::remove, CircleStory::remove(who, story.cut_now(who))));
    }
    void fill() {
        REQUIRE(admit(nan, gus, MemberRole::guardian));
        REQUIRE(admit(gus, sal, MemberRole::second_adult));
        REQUIRE(admit(nan, max, MemberRole::mentor));
    }
};

}  // namespace

TEST_CASE("a minor's path fills up in order: guardian, second adult, mentor") {
    MinorsPath path;
    CHECK_FALSE(path.admit(path.nan, path.max, MemberRole::mentor));
    CHECK_FALSE(path.admit(path.nan, path.sal, MemberRole::second_adult));
    CHECK(path.admit(path.nan, path.gus, MemberRole::guardian));
    CHECK_FALSE(path.admit(path.nan, path.max, MemberRole::mentor));
    CHECK_FALSE(path.admit(path.gus, path.max, MemberRole::mentor));
    CHECK(path.admit(path.gus, path.sal, MemberRole::second_adult));
    CHECK(has_two_adults(path.story.state()));
    CHECK(path.admit(path.nan, path.max, MemberRole::mentor));
}

TEST_CASE("nobody under 18 is a guardian or second adult") {
    MinorsPath path;
    CHECK_FALSE(path.admit(path.nan, path.gus, MemberRole::guardian, true));
    CHECK(path.admit(path.nan, path.gus, MemberRole::guardian));
    CHECK_FALSE(path.admit(path.nan, path.sal, MemberRole::second_adult, true));
}

TEST_CASE("a minor does not become their own guardian") {
    MinorsPath path;
    CHECK_FALSE(path.set_role(path.nan, path.nan, MemberRole::guardian));
    CHECK_FALSE(has_two_adults(path.story.state()));
}

TEST_CASE("with a mentor on a minor's path both adults keep their seats") {
    MinorsPath path;
    path.fill();
    CHECK_FALSE(path.set_role(path.nan, path.sal, MemberRole::mentor));
    CHECK_FALSE(path.set_role(path.gus, path.sal, MemberRole::guardian));
    CHECK_FALSE(path.set_role(path.gus, path.gus, MemberRole::second_adult));
    CHECK_FALSE(path.set_role(path.gus, path.gus, MemberRole::mentor));
    CHECK(path.set_role(path.nan, path.max, MemberRole::second_adult));
    CHECK(path.set_role(path.gus, path.sal, MemberRole::mentor));  // Max holds the seat now
}

TEST_CASE("a minor does not take the guardian off the path, and nobody takes the newcomer off") {
    MinorsPath path;
    path.fill();
    CHECK_FALSE(path.remove(path.nan, path.gus));
    CHECK_FALSE(path.remove(path.gus, path.nan));
    CHECK(path.remove(path.nan, path.max));
    CHECK(path.remove(path.gus, path.sal));
    CHECK(path.remove(path.gus, path.gus));
}

TEST_CASE("a minor who has a guardian lets in no further one, and a guardian does") {
    MinorsPath path;
    REQUIRE(path.admit(path.nan, path.gus, MemberRole::guardian));
    CHECK_FALSE(path.admit(path.nan, path.max, MemberRole::guardian));
    CHECK(path.admit(path.gus, path.sal, MemberRole::guardian));
}

TEST_CASE("a minor who has a guardian gives nobody else the guardian's seat") {
    MinorsPath path;
    path.fill();
    CHECK_FALSE(path.set_role(path.nan, path.max, MemberRole::guardian));
    CHECK(path.set_role(path.gus, path.max, MemberRole::guardian));
}

TEST_CASE("a minor does not take the guardian's seat by another role") {
    MinorsPath path;
    path.fill();
    REQUIRE(path.set_role(path.gus, path.max, MemberRole::guardian));  // so that the seat would stay filled
    CHECK_FALSE(path.set_role(path.nan, path.gus, MemberRole::mentor));
    CHECK(path.set_role(path.max, path.gus, MemberRole::mentor));
}

TEST_CASE("a minor whose guardian has left lets in another one") {
    MinorsPath path;
    REQUIRE(path.admit(path.nan, path.gus, MemberRole::guardian));
    REQUIRE(path.remove(path.gus, path.gus));
    CHECK(path.admit(path.nan, path.max, MemberRole::guardian));
}

TEST_CASE("a grown newcomer lets in as many guardians as they like") {
    CircleStory story(31);
    const Person nan = story.person("Nan");
    story.found(nan, CircleKind::path, MemberRole::newcomer);
    story.say(nan, kind::admit, CircleStory::admit(story.person("Gus"), MemberRole::guardian));
    CHECK(story.has_effect(story.say(nan, kind::admit, CircleStory::admit(story.person("Sal"), MemberRole::guardian))));
}

TEST_CASE("somebody in the circle is not let in again") {
    CircleStory story(12);
    const Person ada = story.person("Ada");
    const Person ben = story.person("Ben");
    story.found(ada, CircleKind::club, MemberRole::officer);
    story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::newcomer));
    CHECK_FALSE(story.has_effect(story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::officer))));
    CHECK(story.member(ben).role == MemberRole::newcomer);
}

TEST_CASE("a level beyond the scale has no effect") {
    CircleStory story(13);
    const Person ada = story.person("Ada");
    const Person ben = story.person("Ben");
    story.found(ada, CircleKind::club, MemberRole::officer);
    CHECK_FALSE(story.has_effect(story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::mentor, false, 5))));
    story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::mentor, false, 4));
    CHECK_FALSE(story.has_effect(story.say(ada, kind::set_role, CircleStory::set_role(ben, MemberRole::mentor, 5))));
    CHECK(story.member(ben).level == 4);
}

TEST_CASE("a founder with a level beyond the scale founds nothing") {
    for (const std::uint8_t level : {std::uint8_t{4}, std::uint8_t{5}}) {
        CircleStory story(13);
        const Person ada = story.person("Ada");
        const FoundBody body{CircleKind::club, "club", MemberRole::officer, level, "Ada", false, ada.certificate()};
        story.circle.data = story.say(ada, kind::found, codec::encode(body), {}).data;
        CHECK(story.state().is_founded() == (level == 4));
    }
}

TEST_CASE("a member adds devices of their own, and only those") {
    CircleStory story(14);
    const Person ada = story.person("Ada");
    const Person ada_two = second_device(ada, story.random);
    const Person ben = story.person("Ben");
    const Person ben_two = second_device(ben, story.random);
    story.found(ada, CircleKind::club, MemberRole::officer);
    story.say(ada, kind::admit, CircleStory::admit(ben, MemberRole::newcomer));
    CHECK_FALSE(story.has_effect(story.say(ada, kind::certify, CircleStory::certify(ben_two))));
    CHECK(story.has_effect(story.say(ada, kind::certify, CircleStory::certify(ada_two))));
    CHECK(story.has_effect(
        story.say(ada_two, kind::admit, CircleStory::admit(story.person("Cal"), MemberRole::newcomer))));
    CHECK(story.state().present_member(ada_two.device_id()) == ada.id());
}

TEST_CASE("nobody claims a device that is another's") {
    CircleStory story(15);
    const Person ada = story.person("Ada");
    const Person eve = story.person("Eve");
    story.found(ada, CircleKind::club, MemberRole::officer);
    story.say(ada, kind::admit, CircleStory::admit(eve, MemberRole::newcomer));
    // Eve signs for Ada's next device before Ada does; she cannot sign in the device's name.
    const Person ada_two = second_device(ada, story.random);
    const Person claim{"Eve",
                       {eve.identity.pub, eve.identity.secret.clone()},
                       {ada_two.device.pub, eve.device.secret.clone()},
                       test::make_person("x", story.random).noise,
                       test::make_person("x", story.random).box};
    CHECK_FALSE(is_genuine(claim.certificate()));
    CHECK_FALSE(story.has_effect(story.say(eve, kind::certify, CircleStory::certify(claim))));
    CHECK(story.has_effect(story.say(ada, kind::certify, CircleStory::certify(ada_two))));
}

TEST_CASE("a device is let in under one member alone, though its holder signs for two") {
    CircleStory story(15);
    const Person ada = story.person("Ada");
    const Person eve = story.person("Eve");
    story.found(ada, CircleKind::club, MemberRole::officer);
    story.say(ada, kind::admit, CircleStory::admit(eve, MemberRole::newcomer));
    const Person mask = story.person("Mask");
    const Person second_name{"Mask",
                             {mask.identity.pub, mask.identity.secret.clone()},
                             {eve.device.pub, eve.device.secret.clone()},
                             test::make_person("x", story.random).noise,
                             test::make_person("x", story.random).box};
    CHECK(is_genuine(second_name.certificate()));
    CHECK_FALSE(story.has_effect(story.say(ada, kind::admit, CircleStory::admit(second_name, MemberRole::mentor))));
    CHECK_FALSE(story.is_present(mask));
    CHECK(story.has_effect(story.say(ada, kind::admit, CircleStory::admit(mask, MemberRole::mentor))));
}

TEST_CASE("a certificate with anything changed is false") {
    CircleStory story(16);
    const DeviceCertificate good = story.person("Ada").certificate();
    REQUIRE(is_genuine(good));
    const Bytes bytes = codec::encode(good);
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        Bytes changed = bytes;
        changed[i] ^= 1;
        const auto certificate = codec::decode<DeviceCertificate>(changed);
        if (certificate) REQUIRE_FALSE(is_genuine(certificate.value()));
    }
}

TEST_CASE("a false certificate takes its whole event down") {
    CircleStory story(17);
    const Person ada = story.person("Ada");
    const Person ben = story.person("Ben");
    story.found(ada, CircleKind::club, MemberRole::officer);
    AdmitBody body{ben.id(), MemberRole::newcomer, 0, "Ben", false, {ben.certificate(), ben.certificate()}};
    body.devices[1].label = "another label";
    CHECK_FALSE(story.has_effect(story.say(ada, kind::admit, codec::encode(body))));
    body.devices = {ada.certificate()};  // genuine, but not Ben's
    CHECK_FALSE(story.has_effect(story.say(ada, kind::admit, codec::encode(body))));
    body.devices = {};
    CHECK_FALSE(story.has_effect(story.say(ada, kind::admit, codec::encode(body))));
}

TEST_CASE("malformed payloads and kinds of a newer program have no effect and harm nothing") {
    CircleStory story(18);
    const Person ada = story.person("Ada");
    story.found(ada, CircleKind::club, MemberRole::officer);
    const CircleState before = story.state();
    for (std::uint16_t number = 1; number < 32; ++number) {
        CAPTURE(number);
        CHECK_FALSE(story.has_effect(story.say(ada, number, Bytes{1, 2, 3})));
    }
    CHECK(story.state().members == before.members);
    CHECK(story.state().heads == before.heads);
}
