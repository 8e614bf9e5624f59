#include <doctest/doctest.h>

#include "node/commands/exam.hpp"
#include "node/commands/meeting_advice.hpp"
#include "node/commands/meeting_card.hpp"
#include "node/commands/stations.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MeetOutcome;
using protocol::MemberRole;
using namespace test;

struct Path {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};

    Path() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
    }
    // Ana's call sign, and her class as the register shows it.
    void grant(const std::string& licence_class) {
        tick_item(ana, "04.06", "KD0XAA");
        class_of(ana, licence_class);
    }
    void class_of(MemberNode& member, const std::string& licence_class) {
        node::CardRequest card;
        card.licence_class = licence_class;
        must(node::change_card(member.context, card));
        sync(ana, ben);
    }
    node::WayView ana_way() { return must(node::way(ana.context, "")); }
    node::WayView ana_way_by_ben() { return must(node::way(ben.context, "Ana")); }
    Result<std::vector<WallTime>> times() {
        const auto view = ana_way();
        return node::propose_times(ana.context, view, *node::mentor_on(view), 2);
    }
    std::string card_text() {
        const auto view = ana_way();
        std::string out;
        for (const auto& line : node::card_lines(node::meeting_card(ana.context, view, view.meetings.front()))) {
            out += line + "\n";
        }
        return out;
    }
    node::MeetRequest meeting(const std::string& who = "") {
        node::MeetRequest request;
        request.who = who;
        request.start = {clock.now.ms + 3'600'000};
        request.first_frequency = "146.52";
        return request;
    }
};

TEST_CASE("an arranged contact is seen on both sides and gets one outcome") {
    Path p;
    p.grant("T");
    p.class_of(p.ben, "G");
    CHECK(must(node::meet(p.ana.context, p.meeting())).sentence ==
          "Arranged with Ben: 2026-03-02T19:00Z on 146.52 MHz FM.");
    sync(p.ana, p.ben);
    p.clock.pass_minutes(60);
    must(node::meet_outcome(p.ben.context, {"Ana", "", MeetOutcome::nobody_heard}));
    sync(p.ana, p.ben);
    const auto meetings = must(node::way(p.ana.context, "")).meetings;
    REQUIRE(meetings.size() == 1);
    CHECK(meetings[0].outcome == MeetOutcome::nobody_heard);
    CHECK(must_fail(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::made})).fault() == Fault::not_found);
}

TEST_CASE("an arranged contact that cannot be is refused and stores nothing") {
    Path p;
    std::vector<node::MeetRequest> table(5, p.meeting());
    table[0].start = {p.clock.now.ms - 1};
    table[1].first_frequency = "";
    table[2].second_frequency = "up a bit";
    table[3].words = std::string(257, 'x');
    table[4].mode = std::string(25, 'x');
    const auto before = p.ana.events();
    for (const auto& request : table) {
        CHECK(must_fail(node::meet(p.ana.context, request)).fault() == Fault::bad_input);
    }
    CHECK(p.ana.events() == before);
}

TEST_CASE("with nobody on the path there is nobody to arrange a contact with") {
    SetClock clock;
    MemberNode ana(clock, 1);
    begin_as(ana, "Ana", MemberRole::newcomer);
    node::MeetRequest request;
    request.start = {clock.now.ms + 1000};
    request.first_frequency = "146.52";
    CHECK(must_fail(node::meet(ana.context, request)).fault() == Fault::not_found);
}

TEST_CASE("no contact is arranged with a minor before guardian, agreement and second adult are there") {
    SetClock clock;
    MemberNode mia(clock, 1);
    MemberNode gus(clock, 2);
    MemberNode sue(clock, 3);
    begin_as(mia, "Mia", MemberRole::newcomer, true);
    begin_as(gus, "Gus", MemberRole::guardian);
    begin_as(sue, "Sue", MemberRole::second_adult);
    node::MeetRequest request;
    request.with = "Gus";
    request.start = {clock.now.ms + 1000};
    request.first_frequency = "146.52";
    join(mia, gus, "Gus", CircleKind::path, MemberRole::guardian);
    CHECK(must_fail(node::meet(mia.context, request)).fault() == Fault::refused);
    join(mia, sue, "Sue", CircleKind::path, MemberRole::second_adult);
    CHECK(must_fail(node::meet(mia.context, request)).fault() == Fault::refused);
    sync(mia, gus);
    tick_item(gus, "00.05", "agreed in writing", "Mia");
    sync(mia, gus);
    const std::string said = must(node::meet(mia.context, request)).sentence;
    CHECK(said.find("Mia is under 18: Gus, the guardian, sees this arrangement and is there or listens") !=
          std::string::npos);
}

TEST_CASE("with a minor and no guardian the refusal names the guardian's seat") {
    SetClock clock;
    MemberNode mia(clock, 1);
    begin_as(mia, "Mia", MemberRole::newcomer, true);
    node::MeetRequest request;
    request.start = {clock.now.ms + 1000};
    request.first_frequency = "146.52";
    const Error why = must_fail(node::meet(mia.context, request));
    CHECK(why.fault() == Fault::refused);
    CHECK(why.sentence().find("Mia is under 18, and no guardian is on the path") != std::string::npos);
}

TEST_CASE("times are proposed that suit both and are not taken") {
    Path p;
    const auto card = [](MemberNode& member, const std::string& times) {
        node::CardRequest request;
        request.zone = "America/New_York";
        request.windows = must(node::parse_windows(times));
        must(node::change_card(member.context, request));
    };
    card(p.ana, "Tue 18:00-19:00");
    card(p.ben, "Tue 18:00-19:00");
    sync(p.ana, p.ben);
    auto request = p.meeting();
    request.start = utc("2026-03-03T23:00Z");
    must(node::meet(p.ana.context, request));
    const auto starts = must(p.times());
    REQUIRE(starts.size() == 2);
    CHECK(starts[0] == utc("2026-03-03T23:30Z"));
    CHECK(starts[1] == utc("2026-03-10T22:00Z"));
}

TEST_CASE("of two mentors the times of the one that is asked about are proposed") {
    Path p;
    MemberNode tom(p.clock, 3);
    begin_as(tom, "Tom", MemberRole::mentor);
    join(p.ana, tom, "Tom", CircleKind::path, MemberRole::mentor);
    const auto card = [](MemberNode& member, const std::string& times) {
        node::CardRequest request;
        request.zone = "America/New_York";
        request.windows = must(node::parse_windows(times));
        must(node::change_card(member.context, request));
    };
    card(p.ana, "Tue 18:00-19:00, Sat 09:00-10:00");
    card(p.ben, "Tue 18:00-19:00");
    card(tom, "Sat 09:00-10:00");
    sync(p.ana, p.ben);
    sync(p.ana, tom);
    const auto view = p.ana_way();
    const auto starts = must(node::propose_times(p.ana.context, view, *node::person_on(view, tom.id()), 1));
    REQUIRE(starts.size() == 1);
    CHECK(starts[0] == utc("2026-03-07T14:00Z"));
}

TEST_CASE("a mentor of two is offered no half hour twice, and is told of one that is arranged twice") {
    Path p;
    MemberNode cleo(p.clock, 3);
    begin_as(cleo, "Cleo", MemberRole::newcomer);
    join(cleo, p.ben, "Ben", CircleKind::path, MemberRole::mentor);
    node::CardRequest card;
    card.zone = "America/New_York";
    card.windows = must(node::parse_windows("Tue 18:00-19:00"));
    for (MemberNode* member : {&p.ana, &p.ben, &cleo}) must(node::change_card(member->context, card));
    sync(p.ana, p.ben);
    sync(cleo, p.ben);
    auto request = p.meeting("Cleo");
    request.start = utc("2026-03-03T23:00Z");
    must(node::meet(p.ben.context, request));
    const auto view = p.ana_way_by_ben();
    const auto starts = must(node::propose_times(p.ben.context, view, *node::person_on(view, p.ben.id()), 1));
    CHECK(starts.at(0) == utc("2026-03-03T23:30Z"));
    const std::string told = " You have another contact then.";
    request.who = "Ana";
    request.start = utc("2026-03-03T22:45Z");
    CHECK(must(node::meet(p.ben.context, request)).sentence.ends_with(told));
    request.start = utc("2026-03-03T23:30Z");
    CHECK_FALSE(must(node::meet(p.ben.context, request)).sentence.ends_with(told));
}

TEST_CASE("whoever has weekly times and no time zone is named") {
    Path p;
    node::CardRequest request;
    request.windows = must(node::parse_windows("Tue 18:00-19:00"));
    must(node::change_card(p.ben.context, request));
    request.zone = "America/New_York";
    must(node::change_card(p.ana.context, request));
    sync(p.ana, p.ben);
    CHECK(must_fail(p.times()).sentence().starts_with("Ben has no time zone on the card yet"));
}

TEST_CASE("without weekly times the sentence says where to write them") {
    Path p;
    CHECK(must_fail(p.times()).sentence().find("weekly times") != std::string::npos);
}

// --- Set again

TEST_CASE("an arranged contact that nobody heard is set again with everything but its time") {
    Path p;
    auto request = p.meeting();
    request.second_frequency = "146.58";
    request.fallback = "telephone";
    request.words = "this is Ana";
    must(node::meet(p.ana.context, request));
    p.clock.pass_minutes(60);
    must(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::nobody_heard}));
    const auto view = p.ana_way();
    auto again = node::again(p.ana.context, view, view.meetings.front(), "");
    again.start = {p.clock.now.ms + 86'400'000};
    must(node::meet(p.ana.context, again));
    const auto meetings = p.ana_way().meetings;
    REQUIRE(meetings.size() == 2);
    CHECK(meetings[1].meeting.other == p.ben.id());
    CHECK(meetings[1].meeting.second_frequency == "146.58");
    CHECK(meetings[1].meeting.fallback == "telephone");
    CHECK(meetings[1].meeting.words == "this is Ana");
    CHECK(meetings[1].meeting.start == again.start);
}

struct TwoArranged : Path {
    TwoArranged() {
        must(node::meet(ana.context, meeting()));
        node::MeetRequest next_week = meeting();
        next_week.start = {clock.now.ms + 7 * 86'400'000LL};
        must(node::meet(ana.context, next_week));
    }
};

TEST_CASE("the last contact is the one that was held, not the next one that is arranged") {
    TwoArranged p;
    p.clock.to("2026-03-02T19:20Z");
    const auto done = must(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::made}));
    CHECK(done.sentence.starts_with("2026-03-02T19:00Z: made."));
    CHECK_FALSE(p.ana_way().meetings[1].outcome.has_value());
}

TEST_CASE("before any contact has begun the last one is the next to come") {
    TwoArranged p;
    const auto done = must(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::moved}));
    CHECK(done.sentence.starts_with("2026-03-02T19:00Z: moved."));
}

TEST_CASE("of a contact that has not begun nobody says how it went, ten minutes before its start they may") {
    Path p;
    must(node::meet(p.ana.context, p.meeting()));
    p.clock.pass_minutes(49);
    const auto before = p.ana.events();
    for (const auto outcome : {MeetOutcome::made, MeetOutcome::nobody_heard}) {
        const Error refused = must_fail(node::meet_outcome(p.ana.context, {"", "", outcome}));
        CHECK(refused.sentence().starts_with("2026-03-02T19:00Z has not come yet"));
    }
    CHECK(p.ana.events() == before);
    p.clock.pass_minutes(1);
    must(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::made}));
    CHECK(p.ana_way().meetings.front().outcome == MeetOutcome::made);
}

TEST_CASE("what is set again is the one that nobody heard, not the next one that is arranged") {
    TwoArranged p;
    p.clock.to("2026-03-02T19:20Z");
    must(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::nobody_heard}));
    const auto found = must(node::meeting_to_repeat(p.ana_way(), "", p.clock.now));
    CHECK(found.meeting.start == utc("2026-03-02T19:00Z"));
}

TEST_CASE("a mentor is told the command that sets it again on the newcomer's path") {
    Path p;
    must(node::meet(p.ben.context, p.meeting("Ana")));
    p.clock.pass_minutes(60);
    const auto done = must(node::meet_outcome(p.ben.context, {"Ana", "", MeetOutcome::nobody_heard}));
    CHECK(done.sentence.find("'ladderline meet Ana --again last --at TIME'") != std::string::npos);
}

TEST_CASE("the same contact arranged twice is refused the second time") {
    Path p;
    must(node::meet(p.ana.context, p.meeting()));
    CHECK(must_fail(node::meet(p.ana.context, p.meeting())).sentence() ==
          "That is arranged already: 2026-03-02T19:00Z on 146.52 MHz FM.");
    CHECK(p.ana_way().meetings.size() == 1);
}

TEST_CASE("nobody arranges a contact with themself") {
    Path p;
    auto request = p.meeting();
    request.with = "Ana";
    CHECK(must_fail(node::meet(p.ana.context, request)).fault() == Fault::bad_input);
}

TEST_CASE("whoever was asked can set it again as well as whoever arranged it") {
    Path p;
    must(node::meet(p.ana.context, p.meeting()));
    sync(p.ana, p.ben);
    const auto view = p.ana_way_by_ben();
    auto again = node::again(p.ben.context, view, view.meetings.front(), "Ana");
    again.start = {p.clock.now.ms + 86'400'000};
    CHECK(must(node::meet(p.ben.context, again)).sentence.starts_with("Arranged with Ana:"));
}

TEST_CASE("an arranged contact is found by the first digits of its id, and not by those of none") {
    Path p;
    const auto done = must(node::meet(p.ana.context, p.meeting()));
    const auto view = p.ana_way();
    CHECK(must(node::find_meeting(view, to_hex(done.id.view()).substr(0, 6))).id == done.id);
    CHECK(must(node::find_meeting(view, "")).id == done.id);
    CHECK(must_fail(node::find_meeting(view, "zz")).fault() == Fault::not_found);
}

// --- What is said beforehand

TEST_CASE("a frequency that one of the two may not use is arranged, and it is said who may not") {
    Path p;
    p.grant("T");
    p.class_of(p.ben, "G");
    auto request = p.meeting();
    request.first_frequency = "14.28";
    request.mode = "USB";
    CHECK(must(node::meet(p.ana.context, request)).sentence.find("For Ana: ") != std::string::npos);
}

TEST_CASE("a class that nobody wrote down is said not to be known") {
    Path p;
    p.grant("T");
    CHECK(must(node::meet(p.ana.context, p.meeting())).sentence.find("The class of Ben is not known here") !=
          std::string::npos);
}

TEST_CASE("without a licence the newcomer is told what a guest needs") {
    Path p;
    p.class_of(p.ben, "G");
    const std::string said = must(node::meet(p.ana.context, p.meeting())).sentence;
    CHECK(said.find("Ana has no licence in force and speaks as a guest") != std::string::npos);
    CHECK(said.find("97.115") != std::string::npos);
}

TEST_CASE("whose licence has ended is arranged with as a guest, whatever class is on the card") {
    Path p;
    p.grant("T");
    p.class_of(p.ben, "G");
    must(node::licence_held(p.ana.context, {"T", day("2010-01-01"), {}}));
    CHECK(must(node::meet(p.ana.context, p.meeting())).sentence.find("Ana has no licence in force and speaks as a") !=
          std::string::npos);
    const auto places = node::frequencies_for(p.ana_way(), *node::mentor_on(p.ana_way()));
    REQUIRE_FALSE(places.empty());
    for (const auto& place : places) {
        CAPTURE(place.place.hz);
        CHECK_FALSE(place.both.sentences.empty());
    }
}

TEST_CASE("the card of a guest has the station's call sign said, and not the one whose licence has ended") {
    Path p;
    p.grant("T");
    must(node::licence_held(p.ana.context, {"T", day("2010-01-01"), {}}));
    must(node::meet(p.ana.context, p.meeting()));
    const std::string text = p.card_text();
    CHECK(text.find("This is the call sign of the station that you sit at") != std::string::npos);
    CHECK(text.find("KD0XAA") == std::string::npos);
}

TEST_CASE("whoever has passed and waits for the grant is a guest, whatever class is on the card") {
    Path p;
    p.class_of(p.ana, "T");
    must(node::exam_passed(p.ana.context, {"2", day("2026-02-28"), false}));
    CHECK(node::ends_of(p.ana_way(), p.ana_way().owner).one.is_guest);
}

TEST_CASE("the frequencies that are proposed are those of the lower class") {
    Path p;
    p.grant("T");
    p.class_of(p.ben, "G");
    const auto view = p.ana_way();
    const auto places = node::frequencies_for(view, *node::mentor_on(view));
    REQUIRE_FALSE(places.empty());
    for (const auto& place : places) {
        CAPTURE(place.place.hz);
        CHECK(place.both.verdict == domain::Verdict::yes);
        CHECK(place.place.hz != 14'280'000);
    }
}

TEST_CASE("height and power of the own station that is kept for that band are used, and no others") {
    Path p;
    node::StationSheet station;
    station.name = "home";
    station.transmission.frequency_mhz = 146.52;
    station.transmission.peak_w = 50;
    station.transmission.on_min = 1;
    station.distance_m = 5;
    station.height_m = 12;
    must(node::keep_sheet(p.ana.context, station));
    node::ChanceRequest request;
    request.mhz = "146.55";
    const auto near = node::with_own_station(p.ana.context, p.ana_way(), request);
    CHECK(near.one_height_m == 12);
    CHECK(near.power_w == 50);
    CHECK_FALSE(near.other_height_m.has_value());
    request.mhz = "446.1";
    CHECK_FALSE(node::with_own_station(p.ana.context, p.ana_way(), request).power_w.has_value());
    CHECK_FALSE(node::with_own_station(p.ben.context, p.ana_way_by_ben(), request).power_w.has_value());
}

TEST_CASE("a class that does not exist is refused and the card stays") {
    Path p;
    node::CardRequest card;
    card.licence_class = "Captain";
    const auto events = p.ben.events();
    CHECK(must_fail(node::change_card(p.ben.context, card)).fault() == Fault::bad_input);
    CHECK(p.ben.events() == events);
}

TEST_CASE("proposed times show both clocks and say when one of them was just changed") {
    Path p;
    p.clock.to("2026-03-02T12:00Z");
    const auto card = [](MemberNode& member, const char* zone, const char* times) {
        node::CardRequest request;
        request.zone = zone;
        request.windows = must(node::parse_windows(times));
        must(node::change_card(member.context, request));
    };
    card(p.ana, "America/New_York", "Tue 18:00-20:00");
    card(p.ben, "Europe/London", "Tue 21:00-23:59");
    sync(p.ana, p.ben);
    const auto starts = must(node::propose_starts_for(p.ana.context, p.ana_way(), *node::mentor_on(p.ana_way()), 3));
    REQUIRE(starts.size() == 2);
    CHECK(domain::to_text(starts[0].for_a) == "Tue 2026-03-03 18:00 EST");
    CHECK_FALSE(starts[0].is_after_change);
    CHECK(domain::to_text(starts[1].for_a) == "Tue 2026-03-10 18:00 EDT");
    CHECK(domain::to_text(starts[1].for_b) == "Tue 2026-03-10 22:00 GMT");
    CHECK(starts[1].is_after_change);
}

// --- The card and the calendar

TEST_CASE("the card names both clocks, both frequencies and the words, spelled") {
    Path p;
    p.grant("T");
    node::CardRequest card;
    card.call_sign = "KD0XBB";
    card.zone = "America/Chicago";
    must(node::change_card(p.ben.context, card));
    sync(p.ana, p.ben);
    auto request = p.meeting();
    request.second_frequency = "146.58";
    request.fallback = "telephone";
    must(node::meet(p.ana.context, request));
    const std::string text = p.card_text();
    for (const char* words :
         {"Contact on the air with Ben", "With: Ben, KD0XBB", "On the clock of Ben: Mon 2026-03-02 13:00 CST",
          "In UTC: 2026-03-02 19:00 UTC", "First frequency: 146.52 MHz, FM", "go to 146.58 MHz", "telephone",
          "KD0XAA is spelled: Kilo Delta Zero X-ray Alfa Alfa", "at least every 10 minutes"}) {
        CAPTURE(words);
        CHECK(text.find(words) != std::string::npos);
    }
}

TEST_CASE("the calendar has one entry, or all, and a moved one stands as called off") {
    Path p;
    must(node::meet(p.ana.context, p.meeting()));
    must(node::meet_outcome(p.ana.context, {"", "", MeetOutcome::moved}));
    auto later = p.meeting();
    later.start = {p.clock.now.ms + 86'400'000};
    must(node::meet(p.ana.context, later));
    const auto view = p.ana_way();
    const std::string all = node::meetings_calendar(view, view.meetings, p.clock.now);
    CHECK(all.find("DTSTART:20260302T190000Z\r\n") != std::string::npos);
    CHECK(all.find("DTSTART:20260303T180000Z\r\n") != std::string::npos);
    CHECK(all.find("STATUS:CANCELLED\r\n") != std::string::npos);
    const std::string one = node::meetings_calendar(view, {view.meetings.back()}, p.clock.now);
    CHECK(one.find("DTSTART:20260302") == std::string::npos);
    CHECK(one.find("STATUS:CANCELLED") == std::string::npos);
}

}  // namespace
}  // namespace ladderline
