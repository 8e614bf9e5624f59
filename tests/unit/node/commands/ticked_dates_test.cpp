// Ticks of the way that clocks are read from.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>

#include "node/app/execute.hpp"
#include "node/cli/command_line.hpp"
#include "node/commands/circles.hpp"
#include "node/commands/exam.hpp"
#include "node/commands/items.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using domain::Due;
using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

struct Walker {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode max{clock, 2};

    Walker() {
        clock.to("2026-11-27T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(max, "Max", MemberRole::mentor);
        join(ana, max, "Max", CircleKind::path, MemberRole::mentor);
    }
    std::string tick_on(const std::string& item, const std::string& on, const std::string& evidence = "") {
        node::TickRequest request;
        request.item = item;
        if (!on.empty()) request.day = day(on);
        request.evidence = evidence;
        return must(node::tick(ana.context, request)).sentence;
    }
    void lives_in(const std::string& zone) {
        node::CardRequest card;
        card.zone = zone;
        must(node::change_card(ana.context, card));
    }
    void reopen(const std::string& item) {
        must(node::set_aside(ana.context, {item, domain::StatementKind::reopen}));
        clock.pass_minutes(1);
    }
    node::WayView way() { return must(node::way(ana.context, "")); }
    bool runs(Due what) {
        const auto due = way().due;
        return std::any_of(due.begin(), due.end(), [&](const auto& line) { return line.what == what; });
    }
    std::string typed(const std::vector<std::string>& words) {
        const auto read = must(node::cli::parse_command_line(words, std::filesystem::temp_directory_path()));
        return node::execute(read, ana.context).out;
    }
    std::string steps_of_exam() {
        std::string out;
        for (const auto& step : must(node::exam_view(ana.context, "")).steps) {
            out += step.title + ": ";
            for (const auto& sentence : step.sentences) out += sentence + " ";
        }
        return out;
    }
};

bool holds(const std::string& text, std::string_view words) {
    return text.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("the fee's ten days run from the day written as evidence of the notice, where it is the earlier one") {
    Walker w;
    tick_item(w.ana, "03.08");
    w.tick_on("04.01", "", "2026-11-20");
    CHECK(w.way().dates.fee_notice == day("2026-11-20"));
    w.clock.pass_minutes(1);
    w.tick_on("04.01", "", "the mail of 2026-11-21, found in junk");
    CHECK(w.way().dates.fee_notice == day("2026-11-21"));
    w.clock.pass_minutes(1);
    w.tick_on("04.01", "2026-11-22", "seen on 2026-11-25");
    CHECK(w.way().dates.fee_notice == day("2026-11-22"));
}

TEST_CASE("a day too long ago for a certificate that still counts is no day of a notice") {
    Walker w;
    tick_item(w.ana, "03.08");
    w.tick_on("04.01", "", "2025-11-20");
    CHECK(w.way().dates.fee_notice == day("2026-11-27"));
}

TEST_CASE("whoever ticks the notice is told the last day, and from which day it is counted") {
    Walker w;
    tick_item(w.ana, "03.08");
    const std::string said = w.tick_on("04.01", "", "2026-11-20");
    CHECK(holds(said, "the notice came on 2026-11-20, so that the fee's last day is 2026-11-30"));
    CHECK(holds(said, "ladderline tick 04.01 --on DAY"));
}

TEST_CASE("the tick of the notice is asked for with the day of the e-mail, on the step and after the exam") {
    Walker w;
    must(node::assign(w.ana.context, {"", {"04.01"}}));
    CHECK(holds(w.typed({"next"}), "ladderline tick 04.01 --on DAY (the day of the regulator's e-mail, not today)"));
    tick_item(w.ana, "03.08");
    CHECK(holds(w.steps_of_exam(), "ladderline tick 04.01 --on DAY, the day of the regulator's e-mail, not today."));
}

TEST_CASE("the official copy is asked for until its item is ticked") {
    Walker w;
    w.tick_on("04.06", "", "KD0XAA");
    CHECK(w.runs(Due::official_copy));
    tick_item(w.ana, "04.07");
    CHECK_FALSE(w.runs(Due::official_copy));
}

TEST_CASE("a new privilege is asked for until its item is ticked") {
    Walker w;
    w.tick_on("04.06", "2026-03-02", "KD0XAA");
    must(node::licence_held(w.ana.context, {"T", day("2026-03-02"), {}}));
    must(node::exam_passed(w.ana.context, {"3", day("2026-11-20"), false}));
    CHECK(w.runs(Due::new_privilege));
    // The gate of what is sent: a sheet of the station for the new bands, signed.
    tick_item(w.ana, "18.07", "5 W, worked out");
    sync(w.ana, w.max);
    sign_item(w.max, "Ana", "18.07");
    sync(w.ana, w.max);
    tick_item(w.ana, "18.08");
    CHECK_FALSE(w.runs(Due::new_privilege));
}

TEST_CASE("an upgrade that was only ticked runs the certificate's and the temporary identifier's dates") {
    Walker w;
    must(node::licence_held(w.ana.context, {"T", day("2026-03-02"), {}}));
    w.tick_on("18.05", "2026-11-20");
    CHECK(w.way().dates.licensed_at_exam);
    CHECK(w.runs(Due::certificate_ends));
    CHECK(w.runs(Due::temporary_identifier_ends));
    CHECK(holds(w.steps_of_exam(), "Until the register shows General"));
    must(node::licence_held(w.ana.context, {"G", day("2026-11-25"), {}}));
    CHECK_FALSE(w.runs(Due::temporary_identifier_ends));
    CHECK(w.way().exam.held_class == "G");
}

TEST_CASE("what was said of an upgrade stands before its tick") {
    Walker w;
    must(node::licence_held(w.ana.context, {"T", day("2026-03-02"), {}}));
    w.tick_on("18.05", "2026-11-26");
    must(node::exam_passed(w.ana.context, {"3", day("2026-11-20"), false}));
    CHECK(w.way().dates.exam_passed == day("2026-11-20"));
    CHECK(w.way().exam.passed.size() == 1);
}

// --- Whose day it is.

TEST_CASE("whoever ticks in the evening of their own zone has ticked on their own day") {
    Walker w;
    w.lives_in("America/New_York");
    w.clock.to("2026-11-28T01:00Z");
    tick_item(w.ana, "03.08");
    CHECK(w.way().dates.exam_passed == day("2026-11-27"));
    must(node::exam_passed(w.ana.context, {"3", {}, false}));
    CHECK(w.way().exam.passed.back().day == day("2026-11-27"));
}

TEST_CASE("a day in a zone ahead of UTC is not written down before UTC has it, so that nobody refuses it") {
    Walker w;
    w.lives_in("Pacific/Guam");
    tick_item(w.ana, "03.08");
    CHECK(w.way().dates.exam_passed == day("2026-11-27"));
}

TEST_CASE("what was sent is dated by UTC, as logs are, and no sheet signed before it comes after it") {
    Walker w;
    w.lives_in("America/New_York");
    w.clock.to("2026-11-28T01:00Z");
    tick_item(w.ana, "04.06", "KD0XAA");
    tick_item(w.ana, "07.12", "sheet kept");
    sync(w.ana, w.max);
    sign_item(w.max, "Ana", "07.12");  // Max has no zone on his card
    sync(w.ana, w.max);
    tick_item(w.ana, "09.06");
    CHECK(domain::state_of(w.way().states, domain::known_item::first_contact).tick->day == day("2026-11-28"));
}

TEST_CASE("the fee's last day is over when the own calendar says so") {
    Walker w;
    w.lives_in("America/New_York");
    tick_item(w.ana, "03.08");
    w.tick_on("04.01", "2026-11-27");
    w.clock.to("2026-12-08T01:00Z");
    CHECK(holds(w.steps_of_exam(), "Pay the regulator's fee by 2026-12-07"));
    w.clock.to("2026-12-08T06:00Z");
    CHECK(holds(w.steps_of_exam(), "The fee's last day was 2026-12-07"));
}

// --- The grant.

TEST_CASE("another call sign ticked within the term leaves the grant its day") {
    Walker w;
    w.tick_on("04.06", "2026-03-02", "KD0XAA");
    w.clock.pass_minutes(1);
    const std::string said = w.tick_on("04.06", "2026-11-20", "KD0XAB");
    CHECK(w.way().dates.grant == day("2026-03-02"));
    CHECK(w.way().call_sign == "KD0XAB");
    CHECK(holds(said, "The licence still counts from 2026-03-02"));
    CHECK(holds(said, "ladderline tick 04.06 --undo"));
}

TEST_CASE("after 04.06 was opened again the first tick that follows is the grant") {
    Walker w;
    w.tick_on("04.06", "2026-03-02", "KD0XAA");
    w.clock.pass_minutes(1);
    w.reopen("04.06");
    w.tick_on("04.06", "2026-11-20", "KD0XAA");
    w.clock.pass_minutes(1);
    w.tick_on("04.06", "2026-11-25", "KD0XAB");
    CHECK(w.way().dates.grant == day("2026-11-20"));
}

TEST_CASE("a grant ticked after the term of the one before begins a term") {
    Walker w;
    w.tick_on("04.06", "2010-03-02", "KD0XAA");
    w.clock.pass_minutes(1);
    const std::string said = w.tick_on("04.06", "2026-11-20", "KD0XAA");
    CHECK(w.way().dates.grant == day("2026-11-20"));
    CHECK_FALSE(holds(said, "still counts"));
}

}  // namespace ladderline
