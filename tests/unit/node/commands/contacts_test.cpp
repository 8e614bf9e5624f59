#include "node/commands/contacts.hpp"

#include <doctest/doctest.h>

#include "node/commands/confirmed.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/log_files.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
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
    void grant() { tick_item(ana, "04.06", "KD0XAA"); }
    node::ContactRequest contact(const std::string& worked = "KD0XBB") {
        node::ContactRequest request;
        request.worked = worked;
        request.start = clock.now;
        request.frequency = "146.52";
        request.mode = "FM";
        return request;
    }
    std::size_t contacts() { return must(node::way(ana.context, "")).contacts.size(); }
    node::ImportedLog import(const std::string& text, const std::string& guest_of = "") {
        return must(node::import_adi(ana.context, {text, guest_of}));
    }
};

std::string field(const std::string& name, const std::string& value) {
    return "<" + name + ":" + std::to_string(value.size()) + ">" + value;
}

std::string record(const std::string& call, const std::string& date = "20260302", const std::string& time = "1701") {
    return field("CALL", call) + field("QSO_DATE", date) + field("TIME_ON", time) + field("BAND", "2M") +
           field("MODE", "FM") + "<EOR>\n";
}

// --- Gate 2 through the log.

TEST_CASE("no contact under the own call sign before it is visible") {
    Path p;
    const auto before = p.ana.events();
    CHECK_FALSE(node::log_contact(p.ana.context, p.contact()).has_value());
    CHECK(p.ana.events() == before);
}

TEST_CASE("no contact of a day before the call sign was first seen") {
    Path p;
    p.grant();
    auto request = p.contact();
    request.start = utc("2026-03-01T23:59Z");
    const auto before = p.ana.events();
    CHECK(must_fail(node::log_contact(p.ana.context, request)).fault() == Fault::refused);
    CHECK(p.ana.events() == before);
}

TEST_CASE("a guest's contact is written down under the host's call sign") {
    Path p;
    auto request = p.contact();
    request.guest_of = "KD0XCC";
    must(node::log_contact(p.ana.context, request));
    const auto contact = must(node::way(p.ana.context, "")).contacts.at(0).contact;
    CHECK(contact.station == "KD0XCC");
    CHECK(contact.operated_by == "KD0XCC");
}

TEST_CASE("a contact under the own call sign before the grant counts nowhere, whatever node stored it") {
    Path p;
    protocol::ContactBody body;
    body.start = p.clock.now;
    body.worked = "KD0XBB";
    body.station = "KD0XAA";
    must(node::say(p.ana.context, p.ana.circle(CircleKind::path), protocol::kind::contact,
                   protocol::codec::encode(body)));
    CHECK(p.contacts() == 0);
}

TEST_CASE("a contact after the grant is written down and seen by the mentor") {
    Path p;
    p.grant();
    CHECK(must(node::log_contact(p.ana.context, p.contact())).sentence ==
          "Written down: KD0XBB, 2026-03-02T18:00Z, 146.52 MHz FM.");
    sync(p.ana, p.ben);
    CHECK(must(node::way(p.ben.context, "Ana")).contacts.size() == 1);
}

TEST_CASE("a contact that cannot be is refused and stores nothing") {
    Path p;
    p.grant();
    std::vector<node::ContactRequest> table(6, p.contact());
    table[0].worked = "no call";
    table[1].frequency = "much";
    table[2].frequency = "";
    table[3].mode = "";
    table[4].comment = std::string(257, 'x');
    table[5].start = {p.clock.now.ms + 2 * 86'400'000LL};
    const auto before = p.ana.events();
    for (std::size_t i = 0; i < table.size(); ++i) {
        CAPTURE(i);
        CHECK(must_fail(node::log_contact(p.ana.context, table[i])).fault() == Fault::bad_input);
    }
    CHECK(p.ana.events() == before);
}

// --- A later call sign

TEST_CASE("what was sent under an earlier call sign stays in the log when a new one is ticked") {
    Path p;
    p.grant();
    must(node::log_contact(p.ana.context, p.contact()));
    p.clock.now.ms += 86'400'000LL * 30;
    tick_item(p.ana, "04.06", "KD0XZZ");
    const auto way = must(node::way(p.ana.context, ""));
    REQUIRE(way.contacts.size() == 1);
    CHECK(way.contacts[0].contact.station == "KD0XAA");
    CHECK(way.call_sign == "KD0XZZ");
}

TEST_CASE("a contact under the new call sign before it was seen counts nowhere, though an earlier one was seen") {
    Path p;
    p.grant();
    protocol::ContactBody body;
    body.start = p.clock.now;
    body.worked = "KD0XBB";
    body.station = "KD0XZZ";
    must(node::say(p.ana.context, p.ana.circle(CircleKind::path), protocol::kind::contact,
                   protocol::codec::encode(body)));
    p.clock.now.ms += 86'400'000LL * 30;
    tick_item(p.ana, "04.06", "KD0XZZ");
    CHECK(p.contacts() == 0);
}

TEST_CASE("a file of the time of the earlier call sign is taken in under it") {
    Path p;
    p.grant();
    p.clock.now.ms += 86'400'000LL * 30;
    tick_item(p.ana, "04.06", "KD0XZZ");
    const std::string sent_under = field("STATION_CALLSIGN", "KD0XAA");
    CHECK(p.import(sent_under + record("KD0XBB")).added == 1);
    const auto contact = must(node::way(p.ana.context, "")).contacts.at(0).contact;
    CHECK(contact.station == "KD0XAA");
    CHECK(contact.operated_by.empty());
}

// --- ADI files

TEST_CASE("a malformed record is named with its place and the good ones are kept") {
    Path p;
    p.grant();
    const std::string first = record("KD0XBB");
    const std::string bad = field("CALL", "KD0XCC") + field("QSO_DATE", "20261301") + "<EOR>\n";
    const auto log = p.import("made by hand <EOH>\n" + first + bad + record("KD0XDD"));
    CHECK(log.added == 2);
    CHECK(p.contacts() == 2);
    REQUIRE(log.left_out.size() == 1);
    CHECK(log.left_out[0].find("ecord 2") != std::string::npos);
}

TEST_CASE("importing a file again adds nothing") {
    Path p;
    p.grant();
    const std::string file = record("KD0XBB") + record("KD0XCC");
    CHECK(p.import(file).added == 2);
    const auto again = p.import(file);
    CHECK(again.added == 0);
    CHECK(again.known == 2);
}

TEST_CASE("a record that stands twice in a file is taken once") {
    Path p;
    p.grant();
    CHECK(p.import(record("KD0XBB") + record("KD0XBB")).added == 1);
}

TEST_CASE("contacts of days before the grant are left out by name") {
    Path p;
    p.grant();
    const auto log = p.import(record("KD0XBB", "20260301") + record("KD0XCC"));
    CHECK(log.added == 1);
    REQUIRE(log.left_out.size() == 1);
    CHECK(log.left_out[0].find("KD0XBB 2026-03-01T17:01Z") == 0);
}

TEST_CASE(
    "a contact of an hour to come is refused and asks whether it was UTC, one of this minute by a fast clock is not") {
    Path p;
    p.grant();
    auto request = p.contact();
    request.start = {p.clock.now.ms + 60 * 60'000};
    CHECK(must_fail(node::log_contact(p.ana.context, request))
              .sentence()
              .ends_with("Was it UTC, or is the clock of this machine behind?"));
    request.start = {p.clock.now.ms + 60'000};
    CHECK(node::log_contact(p.ana.context, request).has_value());
}

TEST_CASE("no station talks with itself") {
    Path p;
    auto request = p.contact("kd0xbb");
    request.guest_of = "KD0XBB";
    CHECK(must_fail(node::log_contact(p.ana.context, request)).sentence() ==
          "KD0XBB is the station that you sat at; say whom you talked with.");
    p.grant();
    CHECK(must_fail(node::log_contact(p.ana.context, p.contact("KD0XAA"))).fault() == Fault::bad_input);
    CHECK(p.contacts() == 0);
}

TEST_CASE("contacts of days to come are left out by name") {
    Path p;
    p.grant();
    const auto log = p.import(record("KD0XBB", "20300101") + record("KD0XCC"));
    CHECK(log.added == 1);
    REQUIRE(log.left_out.size() == 1);
    CHECK(log.left_out[0].find("has not come yet") != std::string::npos);
}

TEST_CASE("a file without one contact that can be taken is an error and stores nothing") {
    Path p;
    const auto before = p.ana.events();
    CHECK(must_fail(node::import_adi(p.ana.context, {})).fault() == Fault::bad_input);
    CHECK(must_fail(node::import_adi(p.ana.context, {"<CALL:99>KD0XBB<EOR>"})).fault() == Fault::bad_input);
    CHECK(must_fail(node::import_adi(p.ana.context, {record("KD0XBB")})).fault() == Fault::refused);
    CHECK(p.ana.events() == before);
}

TEST_CASE("a guest's log is taken in before any grant") {
    Path p;
    CHECK(p.import(record("KD0XBB"), "KD0XCC").added == 1);
    CHECK(p.contacts() == 1);
}

// --- Two sides of one contact.

struct TwoLogs : Path {
    TwoLogs() {
        grant();
        node::CardRequest card;
        card.call_sign = "KD0XBB";
        must(node::change_card(ben.context, card));
        sync(ana, ben);
        sync(ana, ben);
    }
    void both(std::int64_t mentors_clock_min = 0, const std::string& mentors_band = "146.52") {
        must(node::log_contact(ana.context, contact()));
        node::ContactRequest theirs = contact("KD0XAA");
        theirs.who = "Ana";
        theirs.start.ms += mentors_clock_min * 60'000;
        theirs.frequency = mentors_band;
        must(node::log_contact(ben.context, theirs));
        sync(ana, ben);
        clock.now.ms += 86'400'000LL * 2;
    }
    std::vector<node::OtherLog> compared() { return node::other_logs(must(node::way(ana.context, ""))); }
};

TEST_CASE("a mentor's own side of a contact confirms it and is no further contact of the newcomer") {
    TwoLogs w;
    w.both();
    CHECK(w.contacts() == 1);
    const auto logs = w.compared();
    REQUIRE(logs.size() == 1);
    const auto id = must(node::way(w.ana.context, "")).contacts.at(0).id;
    CHECK(node::confirmed_by(logs, id) == "Ben");
    CHECK(logs[0].only_theirs.empty());
}

TEST_CASE("a mentor's side that names the earlier call sign stays a side when a new one is ticked") {
    TwoLogs w;
    w.both();
    tick_item(w.ana, "04.06", "KD0XZZ");
    const auto way = must(node::way(w.ana.context, ""));
    CHECK(way.contacts.size() == 1);
    CHECK(way.other_sides.size() == 1);
    CHECK(node::is_other_side(way, w.ben.context.me.id(), "KD0XAA"));
}

TEST_CASE("a side is known by the earlier call sign too where the log holds no contact under it yet") {
    TwoLogs w;
    w.clock.pass_days(30);
    tick_item(w.ana, "04.06", "KD0XZZ");
    sync(w.ana, w.ben);
    node::ContactRequest theirs = w.contact("KD0XAA");
    theirs.who = "Ana";
    theirs.start.ms -= 29 * 86'400'000LL;
    must(node::log_contact(w.ben.context, theirs));
    const auto way = must(node::way(w.ben.context, "Ana"));
    REQUIRE(way.other_sides.size() == 1);
    CHECK(way.other_sides[0].contact.station == "KD0XBB");
}

TEST_CASE("what a mentor's log confirmed stays confirmed when the mentor has left") {
    TwoLogs w;
    w.both();
    must(node::leave_circle(w.ben.context, must(node::circle_meant(w.ben.context, "path", "Ana"))));
    sync(w.ana, w.ben);
    const auto way = must(node::way(w.ana.context, ""));
    REQUIRE(way.people.size() == 1);
    CHECK(node::confirmed_by(node::other_logs(way), way.contacts.at(0).id) == "a former member");
}

TEST_CASE("a side that differs in one thing is shown and does not confirm") {
    TwoLogs w;
    w.both(0, "446.0");
    const auto logs = w.compared();
    REQUIRE(logs.at(0).pairs.size() == 1);
    CHECK(logs[0].pairs[0].differs == domain::Differs::band);
    CHECK(node::confirmed_by(logs, logs[0].pairs[0].own.id).empty());
}

TEST_CASE("a contact in the mentor's log alone is named") {
    TwoLogs w;
    node::ContactRequest theirs = w.contact("KD0XAA");
    theirs.who = "Ana";
    must(node::log_contact(w.ben.context, theirs));
    sync(w.ana, w.ben);
    CHECK(w.contacts() == 0);
    CHECK(w.compared().at(0).only_theirs.size() == 1);
}

TEST_CASE("five contacts show whose clock is ahead, and are confirmed all the same") {
    TwoLogs w;
    for (int i = 0; i < 5; ++i) w.both(-7);
    const auto logs = w.compared();
    CHECK(node::clock_words(logs.at(0)) == "Ben's clock ran about 7 minutes behind the other one.");
    for (const node::OtherLog::Pair& pair : logs[0].pairs) CHECK_FALSE(pair.differs.has_value());
}

TEST_CASE("one's own side needs one's own call sign") {
    Path w;
    w.grant();
    sync(w.ana, w.ben);
    node::ContactRequest theirs = w.contact("KD0XAA");
    theirs.who = "Ana";
    const auto said = node::log_contact(w.ben.context, theirs);
    REQUIRE_FALSE(said.has_value());
    CHECK(said.error().fault() == Fault::bad_input);
}

}  // namespace
}  // namespace ladderline
