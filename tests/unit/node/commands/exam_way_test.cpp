// What is said of exams and of the licence, as the way takes it: the next step, what is waited for, what is due.

#include <doctest/doctest.h>

#include <algorithm>

#include "node/commands/exam.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline {
namespace {

using protocol::MemberRole;
using namespace test;

struct Candidate {
    SetClock clock;
    MemberNode ana{clock, 1};

    Candidate() {
        clock.to("2026-12-01T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
    }
    node::WayView way() { return must(node::way(ana.context, "")); }
    node::ExamView exam() { return must(node::exam_view(ana.context, "")); }
    std::string next() {
        const auto view = way();
        return view.progress.next ? domain::to_text(view.progress.next->item) : "-";
    }
    std::string pass(const std::string& element, const std::string& on) {
        return must(node::exam_passed(ana.context, {element, day(on), false})).sentence;
    }
    void book(const std::string& element, const std::string& on) {
        must(node::exam_booked(ana.context, {day(on), element, "Valley library"}));
    }
    std::optional<Day> booked() { return exam().facts.dates.exam_booked; }
    std::string licence(const std::string& licence_class, const std::string& granted) {
        return must(node::licence_held(ana.context, {licence_class, day(granted), {}})).sentence;
    }
    // Later ticks of one item count after earlier ones.
    void tick_on(const std::string& item, const std::string& on, const std::string& evidence = "") {
        clock.pass_minutes(1);
        node::TickRequest request;
        request.item = item;
        request.day = day(on);
        request.evidence = evidence;
        must(node::tick(ana.context, request));
    }
    void skip(const std::string& item) { must(node::set_aside(ana.context, {item, domain::StatementKind::skip})); }
    // Nothing of the first stage, nor of what nobody passes over, stands before the step in question.
    void skip_what_comes_first() {
        for (const domain::Item& item : domain::shipped_edition().items) {
            const bool is_early = item.id.stage == 0 || (item.safety && item.id.stage < 4);
            if (is_early && domain::applies_to(item, false)) skip(domain::to_text(item.id));
        }
    }
    bool waits_for(domain::Awaited what) {
        const auto view = way();
        return std::any_of(view.progress.waiting.begin(), view.progress.waiting.end(),
                           [&](const domain::Waiting& w) { return w.what == what; });
    }
    bool is_due(domain::Due what) {
        const auto view = way();
        return std::any_of(view.due.begin(), view.due.end(), [&](const domain::DueLine& d) { return d.what == what; });
    }
    std::string due_words() {
        std::string out;
        for (const auto& line : way().due) out += line.sentence + " ";
        return out;
    }
    std::string exam_words() {
        std::string out;
        for (const auto& step : exam().steps) {
            out += step.title + ": ";
            for (const auto& sentence : step.sentences) out += sentence + " ";
        }
        return out;
    }
    domain::TransmitAnswer may(const std::string& frequency, const std::string& mode) {
        node::MayRequest request;
        request.frequency = frequency;
        request.licence_class = "own";
        request.ask.mode = mode;
        return must(node::may_here(ana.context, request));
    }
};

bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

}  // namespace

// --- A session that is booked.

TEST_CASE("a paper passed at an earlier session takes its booking along, and no other paper does") {
    Candidate c;
    c.book("2", "2026-12-12");
    CHECK(c.is_due(domain::Due::exam_day));
    c.pass("3", "2026-12-01");
    CHECK(c.is_due(domain::Due::exam_day));
    c.pass("2", "2026-12-01");
    CHECK_FALSE(c.is_due(domain::Due::exam_day));
    CHECK_FALSE(c.booked().has_value());
    must(node::exam_passed(c.ana.context, {"2", {}, true}));
    CHECK(c.booked() == day("2026-12-12"));
}

TEST_CASE("a paper passed at an earlier session and only ticked takes its booking along as well") {
    Candidate c;
    c.book("2", "2026-12-12");
    c.clock.pass_days(4);
    c.tick_on("03.08", "2026-12-05");
    CHECK_FALSE(c.is_due(domain::Due::exam_day));
    CHECK_FALSE(c.booked().has_value());
}

TEST_CASE("a session stands that was booked after the pass, or on whose day the certificate is over") {
    Candidate c;
    c.pass("2", "2026-12-01");
    c.book("2", "2026-12-12");
    CHECK(c.booked() == day("2026-12-12"));
    Candidate late;
    late.book("2", "2027-12-12");
    late.pass("2", "2026-12-01");
    CHECK(late.booked() == day("2027-12-12"));
}

// --- What the register shows.

TEST_CASE("a licence that the register shows ends the wait for the fee's notice and the grant") {
    Candidate c;
    c.pass("2", "2026-11-20");
    CHECK(c.waits_for(domain::Awaited::fee_notice));
    c.licence("T", "2026-11-26");
    CHECK_FALSE(c.waits_for(domain::Awaited::fee_notice));
    c.tick_on("04.03", "2026-11-25");
    CHECK_FALSE(c.waits_for(domain::Awaited::grant));
}

TEST_CASE("a licence that the register shows makes the tick of the call sign the next step") {
    Candidate c;
    c.pass("2", "2026-11-20");
    c.licence("T", "2026-11-26");
    CHECK(c.next() == "04.06");
    c.tick_on("04.06", "2026-11-26", "KD0XAA");
    CHECK(c.next() != "04.06");
}

TEST_CASE("whoever says that the register shows them is told to tick the call sign, until it is ticked") {
    Candidate c;
    CHECK(has(c.licence("T", "2026-11-26"), "ladderline tick 04.06 --on 2026-11-26 --evidence CALLSIGN"));
    c.tick_on("04.06", "2026-11-26", "KD0XAA");
    CHECK_FALSE(has(c.licence("G", "2026-11-30"), "04.06"));
}

TEST_CASE("nobody who holds a licence is sent back to study for the first one") {
    Candidate c;
    c.licence("T", "2024-03-02");
    c.tick_on("04.06", "2024-03-02", "KD0XAA");
    c.skip_what_comes_first();
    CHECK(c.next() == "04.07");
}

TEST_CASE("whose licence lapsed begins with the exam again") {
    Candidate c;
    c.licence("T", "2010-03-02");
    c.skip_what_comes_first();
    CHECK(c.next() == "01.01");
}

// --- The fee.

TEST_CASE("after the fee's last day the next step is to ask for another filing, and the fee is offered no more") {
    Candidate c;
    c.pass("2", "2026-11-08");
    c.tick_on("04.01", "2026-11-21");
    CHECK(c.next() == "04.03");  // the last day itself
    c.tick_on("04.01", "2026-11-10");
    CHECK(c.next() == "04.05");
    c.skip_what_comes_first();
    for (const char* item : {"03.11", "03.12", "03.13", "04.05"}) c.tick_on(item, "2026-12-01");
    CHECK(c.next() == "04.07");
}

TEST_CASE("another notice after the missed fee starts its days anew") {
    Candidate c;
    c.pass("2", "2026-11-08");
    c.tick_on("04.01", "2026-11-10");
    c.tick_on("04.05", "2026-11-25");
    c.tick_on("04.01", "2026-11-30");
    CHECK(c.next() == "04.03");
}

TEST_CASE("once the certificate is over nobody is told to pay the fee, or to have it filed again") {
    Candidate c;
    c.pass("2", "2025-05-01");
    c.tick_on("04.01", "2025-05-05");
    CHECK(c.next() != "04.03");
    CHECK(c.next() != "04.05");
    CHECK_FALSE(has(c.due_words(), "file again"));
    CHECK(has(c.due_words(), "the element has to be passed again"));
}

TEST_CASE("whoever passed anew has a fee of their own, and nothing is said of the old one's last day") {
    Candidate c;
    c.pass("2", "2025-05-01");
    c.tick_on("04.01", "2025-05-05");
    c.pass("2", "2026-11-20");
    CHECK(has(c.exam_words(), "The notice has not been seen yet"));
    CHECK_FALSE(has(c.exam_words(), "2025-05-15"));
    CHECK(c.waits_for(domain::Awaited::fee_notice));
    c.tick_on("04.01", "2026-11-24");
    CHECK(has(c.exam_words(), "Pay the regulator's fee by 2026-12-04"));
    CHECK(c.next() == "04.03");
}

TEST_CASE("a second paper passed while the fee runs takes no day of it away") {
    Candidate c;
    c.pass("2", "2026-11-20");
    c.tick_on("04.01", "2026-11-24");
    c.pass("3", "2026-11-28");
    CHECK(has(c.due_words(), "Pay the regulator's fee by 2026-12-04"));
}

TEST_CASE("a pass that was ticked late takes no day of the fee away") {
    Candidate c;
    c.tick_on("04.01", "2026-11-10");
    c.tick_on("03.08", "2026-11-30");
    CHECK(has(c.due_words(), "The fee's last day was 2026-11-20"));
}

// --- What comes after passing.

TEST_CASE("after passing come the certificate, the person who calls and who may pass the contact on") {
    Candidate c;
    c.pass("2", "2026-12-01");
    c.skip_what_comes_first();
    std::string seen;
    for (int i = 0; i < 3; ++i) {
        const std::string item = c.next();
        seen += item + " ";
        c.tick_on(item, "2026-12-01");
    }
    CHECK(seen == "03.11 03.12 03.13 ");
}

// --- An upgrade.

TEST_CASE("may I transmit here knows the upgrade that is written down, with its identifier") {
    Candidate c;
    c.licence("T", "2026-03-02");
    CHECK(c.may("14.25", "SSB").verdict == domain::Verdict::no);
    c.pass("3", "2026-12-01");
    const auto answer = c.may("14.25", "SSB");
    CHECK(answer.verdict == domain::Verdict::yes);
    CHECK(answer.indicator == "AG");
    CHECK(c.may("146.52", "FM").indicator.empty());
    c.licence("G", "2026-12-01");
    CHECK(c.may("14.25", "SSB").indicator.empty());
}

TEST_CASE("an upgrade older than 365 days, or of a licence that ended, gives no right to transmit") {
    Candidate c;
    c.licence("T", "2024-03-02");
    c.pass("3", "2025-11-30");
    CHECK(c.may("14.25", "SSB").verdict == domain::Verdict::no);
    c.pass("3", "2025-12-01");
    CHECK(c.may("14.25", "SSB").verdict == domain::Verdict::yes);
    must(node::licence_held(c.ana.context, {"T", day("2016-03-02"), day("2026-03-02")}));
    CHECK(c.may("14.25", "SSB").verdict == domain::Verdict::no);
}

TEST_CASE("a licensed person's paper that opens no class is no upgrade, and keeps its certificate") {
    Candidate c;
    c.licence("T", "2026-03-02");
    c.pass("4", "2026-11-20");
    CHECK_FALSE(c.is_due(domain::Due::temporary_identifier_ends));
    CHECK_FALSE(c.is_due(domain::Due::new_privilege));
    CHECK_FALSE(has(c.exam_words(), "Upgrade passed"));
    CHECK(has(c.exam_words(), "Element 4, passed on 2026-11-20: the certificate counts until 2027-11-19"));
    CHECK(has(c.exam_words(), "It opens no class yet; still to pass for Amateur Extra: element 3."));
    c.pass("3", "2026-12-01");
    CHECK(has(c.exam_words(), "Until the register shows Amateur Extra"));
}

TEST_CASE("a first paper that opens no class brings no call sign and no fee") {
    Candidate c;
    c.pass("4", "2026-11-20");
    CHECK_FALSE(c.is_due(domain::Due::grant_expected));
    CHECK_FALSE(c.waits_for(domain::Awaited::fee_notice));
    CHECK_FALSE(has(c.exam_words(), "The regulator's fee"));
    CHECK(has(c.exam_words(), "It opens no class yet; still to pass for Amateur Extra: elements 2, 3."));
    c.pass("2", "2026-12-01");
    CHECK(c.is_due(domain::Due::grant_expected));
}

}  // namespace ladderline
