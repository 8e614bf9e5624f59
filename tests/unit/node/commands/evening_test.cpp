#include "node/commands/evening.hpp"

#include <doctest/doctest.h>

#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MeetOutcome;
using protocol::MemberRole;
using namespace test;

// Ben helps Ana and Cleo, who do not know one another.
struct Two {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};
    MemberNode cleo{clock, 3};

    Two() {
        clock.to("2026-03-02T12:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(cleo, "Cleo", MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
        join(cleo, ben, "Ben", CircleKind::path, MemberRole::mentor);
    }
    void sync_all() {
        sync(ana, ben);
        sync(cleo, ben);
    }
    static void times(MemberNode& member, const char* text) {
        node::CardRequest card;
        card.zone = "Etc/UTC";
        card.windows = must(node::parse_windows(text));
        must(node::change_card(member.context, card));
    }
    node::EveningRequest evening() {
        node::EveningRequest request;
        request.who = {"Ana", "Cleo"};
        request.start = {clock.now.ms + 3'600'000};
        request.frequency = "146.55";
        return request;
    }
    std::int64_t refused(const node::EveningRequest& request, Fault fault) {
        const auto before = ben.events();
        CHECK(must_fail(node::arrange_evening(ben.context, request)).fault() == fault);
        return ben.events() - before;
    }
};

TEST_CASE("an evening puts one arranged contact on each path, and nobody's name on another's") {
    Two t;
    CHECK(must(node::arrange_evening(t.ben.context, t.evening())).sentence.starts_with("Arranged with Ana and Cleo:"));
    t.sync_all();
    for (MemberNode* one : {&t.ana, &t.cleo}) {
        const auto view = must(node::way(one->context, ""));
        REQUIRE(view.meetings.size() == 1);
        CHECK(view.meetings[0].meeting.other == one->id());
        CHECK(view.meetings[0].meeting.first_frequency == "146.55");
        CHECK(view.people.size() == 2);
        CHECK(view.meetings[0].meeting.words.empty());
    }
}

TEST_CASE("a text that names one of them is refused where the others would learn of them") {
    Two t;
    auto request = t.evening();
    request.words = "First Cleo, then the others.";
    CHECK(t.refused(request, Fault::refused) == 0);
    request.words = "First cleopatra's net, then you.";
    CHECK(node::arrange_evening(t.ben.context, request).has_value());
}

TEST_CASE("a text that names one of them is taken where all are in one club") {
    SetClock clock;
    MemberNode olga(clock, 9);
    Two t;
    clock.now = t.clock.now;
    begin_as(olga, "Olga", MemberRole::officer, false, "Example Lake Radio Club");
    join(olga, t.ben, "Ben", CircleKind::club, MemberRole::mentor);
    join(olga, t.ana, "Ana", CircleKind::club, MemberRole::newcomer);
    join(olga, t.cleo, "Cleo", CircleKind::club, MemberRole::newcomer);
    sync(olga, t.ben);
    auto request = t.evening();
    request.words = "First Cleo, then Ana.";
    CHECK(node::arrange_evening(t.ben.context, request).has_value());
}

TEST_CASE("one newcomer, the same one twice, or oneself is no evening") {
    Two t;
    auto request = t.evening();
    request.who = {"Ana"};
    CHECK(t.refused(request, Fault::bad_input) == 0);
    request.who = {"Ana", "Ana"};
    CHECK(t.refused(request, Fault::bad_input) == 0);
    request.who = {"Ana", "Zoe"};
    CHECK(t.refused(request, Fault::not_found) == 0);
}

TEST_CASE("a time that is past or no frequency arranges nothing for anybody") {
    Two t;
    auto request = t.evening();
    request.start = {t.clock.now.ms - 1};
    CHECK(t.refused(request, Fault::bad_input) == 0);
    request = t.evening();
    request.frequency = "";
    CHECK(t.refused(request, Fault::bad_input) == 0);
}

TEST_CASE("somebody under 18 without a guardian on the path stops the evening, by name, and nothing is stored") {
    Two t;
    MemberNode mia(t.clock, 4);
    MemberNode gus(t.clock, 5);
    MemberNode sue(t.clock, 6);
    begin_as(mia, "Mia", MemberRole::newcomer, true);
    begin_as(gus, "Gus", MemberRole::guardian);
    begin_as(sue, "Sue", MemberRole::second_adult);
    join(mia, gus, "Gus", CircleKind::path, MemberRole::guardian);
    join(mia, sue, "Sue", CircleKind::path, MemberRole::second_adult);
    sync(mia, gus);
    tick_item(gus, "00.05", "agreed in writing", "Mia");
    sync(mia, gus);
    join(mia, t.ben, "Ben", CircleKind::path, MemberRole::mentor);
    auto request = t.evening();
    request.who = {"Ana", "Mia"};
    const auto done = must(node::arrange_evening(t.ben.context, request));
    bool named = false;
    for (const auto& remark : done.remarks) named = named || remark.find("Gus, the guardian") != std::string::npos;
    CHECK(named);
    t.clock.pass_days(400);  // the guardian's agreement is for a year
    request.start = {t.clock.now.ms + 3'600'000};
    const auto before = t.ben.events();
    const Error why = must_fail(node::arrange_evening(t.ben.context, request));
    CHECK(why.sentence().starts_with("Nothing was arranged for anybody, because of Mia: "));
    CHECK(t.ben.events() == before);
}

TEST_CASE("the start that suits most stands first, and whom it does not suit is named") {
    Two t;
    Two::times(t.ben, "Tue 18:00-21:00, Thu 18:00-21:00");
    Two::times(t.ana, "Tue 18:00-21:00, Thu 19:00-20:00");
    Two::times(t.cleo, "Thu 18:00-21:00");
    t.sync_all();
    const auto found = must(node::propose_evening(t.ben.context, {"Ana", "Cleo"}, 3));
    REQUIRE(found.starts.size() >= 2);
    CHECK(found.starts[0].start == utc("2026-03-05T19:00Z"));
    CHECK(found.starts[0].missing.empty());
    CHECK(found.starts.back().missing == std::vector<std::string>{"Cleo"});
}

TEST_CASE("who gave no times is named apart, and without own times nothing is proposed") {
    Two t;
    Two::times(t.ana, "Tue 18:00-21:00");
    t.sync_all();
    CHECK(must_fail(node::propose_evening(t.ben.context, {"Ana", "Cleo"}, 3)).fault() == Fault::not_found);
    Two::times(t.ben, "Tue 18:00-21:00");
    const auto found = must(node::propose_evening(t.ben.context, {"Ana", "Cleo"}, 3));
    CHECK(found.times_lack == std::vector<std::string>{"Cleo"});
    CHECK(found.starts.size() == 2);
}

TEST_CASE("the frequencies for all are those of the lowest class among them, and none where a class is not known") {
    Two t;
    const auto class_of = [&](MemberNode& member, const char* licence_class) {
        node::CardRequest card;
        card.licence_class = licence_class;
        must(node::change_card(member.context, card));
        t.sync_all();
    };
    CHECK(must(node::evening_places(t.ben.context, {"Ana", "Cleo"})).empty());
    class_of(t.ben, "G");
    class_of(t.ana, "G");
    class_of(t.cleo, "T");
    const auto places = must(node::evening_places(t.ben.context, {"Ana", "Cleo"}));
    REQUIRE_FALSE(places.empty());
    CHECK(places.front().hz == 146'550'000);
    for (const auto& place : places) CHECK(place.hz != 14'280'000);
}

TEST_CASE("each of an evening has an outcome of their own") {
    Two t;
    must(node::arrange_evening(t.ben.context, t.evening()));
    t.clock.pass_minutes(60);
    must(node::meet_outcome(t.ben.context, {"Ana", "", MeetOutcome::made}));
    const auto all = must(node::evenings(t.ben.context));
    REQUIRE(all.size() == 1);
    REQUIRE(all[0].people.size() == 2);
    CHECK(all[0].people[0].name == "Ana");
    CHECK(all[0].people[0].meeting.outcome == MeetOutcome::made);
    CHECK_FALSE(all[0].people[1].meeting.outcome.has_value());
}

TEST_CASE("a contact arranged with one newcomer alone is no evening") {
    Two t;
    node::MeetRequest request;
    request.who = "Ana";
    request.start = {t.clock.now.ms + 1000};
    request.first_frequency = "146.55";
    must(node::meet(t.ben.context, request));
    CHECK(must(node::evenings(t.ben.context)).empty());
}

}  // namespace
}  // namespace ladderline
