#include "node/commands/stations.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "protocol/event/station_bodies.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

struct Desk {
    SetClock clock;
    MemberNode ana{clock, 1};

    Desk() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
    }
    // 5 W and no gain at 146.52 MHz, always on, over usual ground.
    static node::StationSheet handheld() {
        node::StationSheet out;
        out.name = "handheld";
        out.antenna = "rubber";
        out.place = "garden";
        out.transmission.frequency_mhz = 146.52;
        out.transmission.peak_w = 5;
        out.transmission.on_min = 10;
        out.transmission.gain_dbi = 0;
        out.distance_m = 2;
        return out;
    }
    std::vector<node::StationView> all() { return must(node::stations(ana.context)); }
};

bool says(const std::vector<std::string>& sentences, std::string_view words) {
    return std::any_of(sentences.begin(), sentences.end(),
                       [&](const std::string& s) { return s.find(words) != std::string::npos; });
}

TEST_CASE("a sheet is kept with its figures, its result and its day, and stands") {
    Desk d;
    const auto done = must(node::keep_sheet(d.ana.context, Desk::handheld()));
    CHECK(done.sentence.find("at least 0.4 m for people who know of it, 0.8 m for everybody else") !=
          std::string::npos);
    const auto all = d.all();
    REQUIRE(all.size() == 1);
    CHECK(all[0].look_again.empty());
    CHECK(all[0].worked_on == day("2026-03-02"));
    CHECK(all[0].worked->anybody.least_distance_m == doctest::Approx(0.714).epsilon(0.001));
    CHECK(all[0].now.antenna == "rubber");
    CHECK_FALSE(all[0].now.height_m.has_value());
}

TEST_CASE("a sheet is on the own desk and on no other circle's log") {
    Desk d;
    MemberNode ben(d.clock, 2);
    begin_as(ben, "Ben", MemberRole::mentor);
    join(d.ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    sync(d.ana, ben);
    const auto path = ben.circle(CircleKind::desk);
    CHECK(must(node::shown_history(ben.db(), path, protocol::kind::station)).empty());
    CHECK(must(node::shown_history(ben.db(), d.ana.circle(CircleKind::path), protocol::kind::station)).empty());
    CHECK(must(node::stations(ben.context)).empty());
}

TEST_CASE("a change is named, and the sheet is to be looked at again until it is worked out anew") {
    struct Case {
        void (*change)(node::StationSheet&);
        const char* sentence;
    };
    const Case cases[] = {
        {[](node::StationSheet& s) { s.transmission.peak_w = 25; }, "The power was 5 W and is 25 W now."},
        {[](node::StationSheet& s) { s.antenna = "whip"; }, "The antenna was rubber and is whip now."},
        {[](node::StationSheet& s) { s.transmission.gain_dbi = 6; }, "The gain of the antenna was 0 dBi and is 6 dBi"},
        {[](node::StationSheet& s) { s.transmission.loss_db = 1; }, "The loss of the feed line was 0 dB and is 1 dB"},
        {[](node::StationSheet& s) { s.height_m = 6; }, "The height of the antenna was not said and is 6 m now."},
        {[](node::StationSheet& s) { s.place = "roof"; }, "The place was garden and is roof now."},
        {[](node::StationSheet& s) { s.distance_m = 1; }, "The distance of people was 2 m and is 1 m now."},
        {[](node::StationSheet& s) { s.transmission.reflection = 4; },
         "The ground's reflection was 2.56 and is 4 now."},
        {[](node::StationSheet& s) { s.transmission.frequency_mhz = 446; }, "The frequency was 146.52 MHz and is 446"},
        {[](node::StationSheet& s) { s.mode = "ssb"; }, "The mode was fm and is ssb now."},
        {[](node::StationSheet& s) { s.transmission.on_min = 3; }, "The time on the air was 10 min and is 3 min now."},
        {[](node::StationSheet& s) { s.transmission.off_min = 3; }, "The time of listening was 0 min and is 3 min"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.sentence);
        Desk d;
        must(node::keep_sheet(d.ana.context, Desk::handheld()));
        node::StationSheet now = Desk::handheld();
        c.change(now);
        must(node::note_change(d.ana.context, now));
        const auto changed = d.all();
        REQUIRE(changed.size() == 1);
        CHECK(changed[0].look_again.size() == 1);
        CHECK(says(changed[0].look_again, c.sentence));
        CHECK(changed[0].worked->anybody.least_distance_m == doctest::Approx(0.714).epsilon(0.001));
        must(node::keep_sheet(d.ana.context, now));
        CHECK(d.all()[0].look_again.empty());
    }
}

TEST_CASE("a change of power re-opens the items of the way that it concerns") {
    Desk d;
    tick_item(d.ana, "07.12", "sheet kept");
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    node::StationSheet now = Desk::handheld();
    now.transmission.peak_w = 50;
    const auto done = must(node::note_change(d.ana.context, now));
    CHECK(done.sentence.find("Open again on your way: ") != std::string::npos);
    CHECK_FALSE(domain::state_of(must(node::way(d.ana.context, "")).states, {7, 12}).reached());
}

TEST_CASE("a sheet worked out anew for another power re-opens the items that were signed for the old one") {
    Desk d;
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    tick_item(d.ana, "07.12", "5 W sheet");
    node::StationSheet stronger = Desk::handheld();
    stronger.transmission.peak_w = 1500;
    const auto done = must(node::keep_sheet(d.ana.context, stronger));
    CHECK(done.sentence.find("open again on your way: 07.12") != std::string::npos);
}

// 100 W into a dipole, people two metres away. 47 CFR 1.1310(e), Table 1: 180/f^2 = 3.571 mW/cm2 at 7.1 MHz and 0.2 at
// 50.1 MHz; OET Bulletin 65, Supplement B: sideband speech 20 %, FM 100 %. Worked out by hand from k EIRP / 4 pi R^2
// that is 0.433 m and 4.088 m.
node::StationSheet home() {
    node::StationSheet out;
    out.name = "home";
    out.transmission.frequency_mhz = 7.1;
    out.transmission.peak_w = 100;
    out.mode = "ssb";
    out.distance_m = 2;
    return out;
}

TEST_CASE("another frequency, mode or time on the air re-opens the exposure items, and no fuse or wire") {
    void (*const changes[])(node::StationSheet&) = {
        [](node::StationSheet& s) { s.transmission.frequency_mhz = 50.1; },
        [](node::StationSheet& s) { s.mode = "fm"; },
        [](node::StationSheet& s) { s.transmission.on_min = 3; },
        [](node::StationSheet& s) { s.transmission.off_min = 3; },
    };
    for (const auto& change : changes) {
        for (const bool worked_out : {false, true}) {
            CAPTURE(&change - changes);
            CAPTURE(worked_out);
            Desk d;
            must(node::keep_sheet(d.ana.context, home()));
            tick_item(d.ana, "07.10", "fuse near the battery");
            tick_item(d.ana, "07.12", "sheet kept");
            node::StationSheet now = home();
            change(now);
            must(worked_out ? node::keep_sheet(d.ana.context, now) : node::note_change(d.ana.context, now));
            const domain::States states = must(node::way(d.ana.context, "")).states;
            CHECK_FALSE(domain::state_of(states, {7, 12}).reached());
            CHECK(domain::state_of(states, {7, 10}).reached());
        }
    }
}

TEST_CASE("a sheet that is over the limit asks for no tick, and its station is to be looked at again") {
    // 47 CFR 97.13(c)(2): where the evaluation comes out over the limits, that is prevented before transmitting.
    Desk d;
    node::StationSheet strong = home();
    strong.transmission.frequency_mhz = 50.1;
    strong.mode = "fm";
    const auto done = must(node::keep_sheet(d.ana.context, strong));
    CHECK(done.sentence.find("4.1 m for everybody else") != std::string::npos);
    CHECK(done.sentence.find("Over the limit at 2 m") != std::string::npos);
    CHECK(done.sentence.find("Do not tick 07.12 yet") != std::string::npos);
    CHECK(says(d.all()[0].look_again, "Over the limit at 2 m"));
    strong.distance_m = 5;
    const std::string mended = must(node::keep_sheet(d.ana.context, strong)).sentence;
    CHECK(mended.find("Over the limit") == std::string::npos);
    CHECK(mended.find("Tick 07.12") != std::string::npos);
    CHECK(d.all()[0].look_again.empty());
}

TEST_CASE("a set that the rules exempt at that distance is not said to be over the limit") {
    // 47 CFR 1.1307(b)(3)(i)(B) at 0.446 GHz and 5 cm: P20 = 2040 f = 909.8 mW, x = -log10(60 / (P20 sqrt f)) = 1.0055,
    // P = P20 (5 / 20)^x = 225.7 mW, which is more than the 100 mW that are sent.
    Desk d;
    node::StationSheet small = Desk::handheld();
    small.transmission.frequency_mhz = 446;
    small.transmission.peak_w = 0.1;
    small.distance_m = 0.05;
    CHECK(must(node::keep_sheet(d.ana.context, small)).sentence.find("Tick 07.12") != std::string::npos);
    CHECK(d.all()[0].look_again.empty());
}

TEST_CASE("a change of power re-opens what rests as well") {
    Desk d;
    tick_item(d.ana, "07.12", "sheet kept");
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    must(node::set_aside(d.ana.context, {"07.12", domain::StatementKind::rest}));
    must(node::set_aside(d.ana.context, {"07.18", domain::StatementKind::skip}));
    node::StationSheet now = Desk::handheld();
    now.transmission.peak_w = 50;
    must(node::note_change(d.ana.context, now));
    const domain::States states = must(node::way(d.ana.context, "")).states;
    CHECK(domain::state_of(states, {7, 12}).phase == domain::Phase::reopened);
    CHECK(domain::state_of(states, {7, 18}).phase == domain::Phase::reopened);
}

TEST_CASE("a sheet worked out anew with the same figures re-opens nothing") {
    Desk d;
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    tick_item(d.ana, "07.12", "5 W sheet");
    CHECK(must(node::keep_sheet(d.ana.context, Desk::handheld())).sentence.find("open again") == std::string::npos);
}

TEST_CASE("a change that changes nothing, or of a station that is not kept, is refused and stores nothing") {
    Desk d;
    CHECK(must_fail(node::note_change(d.ana.context, Desk::handheld())).fault() == Fault::not_found);
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    const auto before = d.ana.events();
    CHECK(must_fail(node::note_change(d.ana.context, Desk::handheld())).fault() == Fault::bad_input);
    CHECK(d.ana.events() == before);
}

TEST_CASE("a sheet that was worked out by older limits is to be looked at again, with both days") {
    Desk d;
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    const auto desk = d.ana.circle(CircleKind::desk);
    auto history = must(node::shown_history(d.ana.db(), desk, protocol::kind::station));
    auto body = *protocol::read_payload<protocol::StationBody>(history.front().payload);
    body.worked->rules = day("1997-10-15");
    must(node::say(d.ana.context, desk, protocol::kind::station, protocol::codec::encode(body)));
    const auto view = d.all().front();
    REQUIRE(view.look_again.size() == 1);
    CHECK(view.look_again[0] ==
          "The limits are those of 2021-05-03 now; the sheet was worked out by those of 1997-10-15.");
}

TEST_CASE("two names are two stations, whatever the case of their letters, and one that is no more is gone") {
    Desk d;
    must(node::keep_sheet(d.ana.context, Desk::handheld()));
    node::StationSheet home = Desk::handheld();
    home.name = "Home";
    must(node::keep_sheet(d.ana.context, home));
    home.name = "HOME";
    must(node::keep_sheet(d.ana.context, home));
    CHECK(d.all().size() == 2);
    must(node::forget_station(d.ana.context, "home"));
    CHECK(d.all().size() == 1);
    CHECK(must_fail(node::find_station(d.ana.context, "home")).sentence().find("handheld") != std::string::npos);
}

TEST_CASE("a sheet that cannot be is refused in one sentence and stores nothing") {
    Desk d;
    std::vector<node::StationSheet> table(8, Desk::handheld());
    table[0].name = "";
    table[1].name = std::string(200, 'x');
    table[2].place = "two\nlines";
    table[3].transmission.peak_w = 0;
    table[4].transmission.peak_w = 0.0001;
    table[5].distance_m = 0;
    table[6].height_m = -1;
    table[7].mode = "smoke";
    const auto before = d.ana.events();
    for (std::size_t i = 0; i < table.size(); ++i) {
        CAPTURE(i);
        CHECK(must_fail(node::keep_sheet(d.ana.context, table[i])).fault() == Fault::bad_input);
    }
    CHECK(d.ana.events() == before);
}

TEST_CASE("figures that no program of ours would keep are passed over when the list is read") {
    Desk d;
    protocol::StationBody body;
    body.name = "odd";
    body.worked = protocol::WorkedOut{};
    must(node::say(d.ana.context, d.ana.circle(CircleKind::desk), protocol::kind::station,
                   protocol::codec::encode(body)));
    CHECK(d.all().empty());
}

}  // namespace
}  // namespace ladderline
