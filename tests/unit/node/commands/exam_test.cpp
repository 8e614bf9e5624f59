#include "node/commands/exam.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "node/commands/study.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/node/practice_pool.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

struct Candidate {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode max{clock, 2};

    Candidate() {
        clock.to("2026-12-01T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(max, "Max", MemberRole::mentor);
        join(ana, max, "Max", CircleKind::path, MemberRole::mentor);
    }
    node::ExamView own() { return must(node::exam_view(ana.context, "")); }
    node::ExamView seen_by_mentor() {
        sync(ana, max);
        return must(node::exam_view(max.context, "Ana"));
    }
    void book(const std::string& on) { must(node::exam_booked(ana.context, {day(on), "2", "Valley library"})); }
    void pass(const std::string& element, const std::string& on) {
        must(node::exam_passed(ana.context, {element, day(on), false}));
    }
    // By the own licence, on a frequency that every class may use.
    domain::TransmitAnswer may_answer() {
        node::MayRequest request;
        request.frequency = "146.52";
        request.licence_class = "own";
        request.ask.mode = "FM";
        return must(node::may_here(ana.context, request));
    }
    domain::Verdict may_send() { return may_answer().verdict; }
    std::string counting() {
        std::string out;
        for (const auto& credit : own().credits) {
            if (credit.counts) out += credit.element;
        }
        return out;
    }
};

std::string titles(const node::ExamView& view) {
    std::string out;
    for (const auto& step : view.steps) out += (out.empty() ? "" : " | ") + step.title;
    return out;
}

std::string text_of(const node::ExamView& view) {
    std::string out;
    for (const auto& step : view.steps) {
        for (const auto& sentence : step.sentences) out += sentence + " ";
    }
    return out;
}

void tick_on(MemberNode& member, const std::string& item, const std::string& on, const std::string& evidence = "") {
    node::TickRequest request;
    request.item = item;
    request.day = day(on);
    request.evidence = evidence;
    must(node::tick(member.context, request));
}

}  // namespace

TEST_CASE("a pool that ends before the booked exam is a date of the own way, and of nobody else's view of it") {
    Candidate c;
    must(node::import_pool(c.ana.context, element_2_pool()));
    const auto is_said = [](const node::WayView& way) {
        return std::any_of(way.due.begin(), way.due.end(),
                           [](const domain::DueLine& line) { return line.what == domain::Due::pool_ends; });
    };
    CHECK_FALSE(is_said(must(node::way(c.ana.context, ""))));
    c.book("2026-12-12");
    sync(c.ana, c.max);
    CHECK(is_said(must(node::way(c.ana.context, ""))));
    CHECK_FALSE(is_said(must(node::way(c.max.context, "Ana"))));
}

TEST_CASE("a booked session is known to the path, and can be moved and called off") {
    Candidate c;
    c.book("2026-12-12");
    CHECK(titles(c.own()) == "Your exam, element 2 is in 11 days");
    CHECK(titles(c.seen_by_mentor()) == "Your exam, element 2 is in 11 days");
    CHECK(c.own().facts.booked_place == "Valley library");
    c.book("2026-12-19");
    CHECK(c.own().facts.dates.exam_booked == day("2026-12-19"));
    must(node::exam_booked(c.ana.context, {{}, "", ""}));
    CHECK(titles(c.own()) == "No exam is booked");
}

TEST_CASE("without an element the first paper still to be passed is booked") {
    Candidate c;
    must(node::exam_booked(c.ana.context, {day("2026-12-12"), "", ""}));
    CHECK(c.own().facts.booked_element == "2");
    c.pass("2", "2026-12-01");
    must(node::exam_booked(c.ana.context, {day("2026-12-13"), "", ""}));
    CHECK(c.own().facts.booked_element == "3");
}

TEST_CASE("what cannot be written down is refused with a sentence, and nothing is said") {
    Candidate c;
    const auto before = c.ana.events();
    CHECK(must_fail(node::exam_booked(c.ana.context, {day("2026-11-30"), "2", ""})).sentence() ==
          "2026-11-30 is past; say the day of the session to come.");
    CHECK(must_fail(node::exam_booked(c.ana.context, {day("2028-12-02"), "2", ""})).sentence() ==
          "2028-12-02 is more than two years ahead; is the year right? Nothing was written down.");
    CHECK(must_fail(node::exam_booked(c.ana.context, {day("2026-12-12"), "7", ""})).sentence() ==
          "Say which element it was; there are 2, 3, 4. Nothing was written down.");
    CHECK_FALSE(node::exam_booked(c.ana.context, {day("2026-12-12"), "2", std::string(201, 'x')}).has_value());
    CHECK_FALSE(node::exam_booked(c.ana.context, {day("2026-12-12"), "2", "two\nlines"}).has_value());
    CHECK_FALSE(node::exam_passed(c.ana.context, {"2", day("2026-12-09"), false}).has_value());
    CHECK_FALSE(node::exam_took(c.ana.context, {"two", {}, false}).has_value());
    CHECK_FALSE(node::licence_held(c.ana.context, {"Z", {}, {}}).has_value());
    CHECK_FALSE(node::licence_held(c.ana.context, {"T", day("2026-11-01"), day("2026-10-01")}).has_value());
    CHECK(c.ana.events() == before);
}

TEST_CASE("a paper that did not pass stays on the desk: no event of it reaches the path") {
    Candidate c;
    c.book("2026-12-01");
    const auto path_events = [&] {
        std::uint64_t out = 0;
        for (const auto& head : must(c.ana.log().heads(c.ana.circle(CircleKind::path)))) out += head.next_seq;
        return out;
    };
    const auto before = path_events();
    const auto done = must(node::exam_took(c.ana.context, {"2", day("2026-12-01"), false}));
    CHECK(done.sentence.find("Written on your own desk, and nowhere else") == 0);
    CHECK(path_events() == before);
    CHECK(titles(c.own()) == "Not this time");
    CHECK(c.seen_by_mentor().facts.not_passed.empty());
    must(node::exam_took(c.ana.context, {"2", day("2026-12-01"), true}));
    CHECK(c.own().facts.not_passed.empty());
}

TEST_CASE("a pass ticks the item that the mentor signs, and the signature confirms the certificate") {
    Candidate c;
    const auto done = must(node::exam_passed(c.ana.context, {"2", day("2026-12-01"), false}));
    CHECK(done.sentence.find("counts until 2027-11-30") != std::string::npos);
    CHECK(done.sentence.find("signing 03.08") != std::string::npos);
    REQUIRE(c.own().facts.passed.size() == 1);
    CHECK_FALSE(c.own().facts.passed.front().confirmed);
    sync(c.ana, c.max);
    sign_item(c.max, "Ana", "03.08");
    sync(c.ana, c.max);
    CHECK(c.own().facts.passed.front().confirmed);
    CHECK(c.seen_by_mentor().facts.passed.front().confirmed);
}

TEST_CASE("a tick of the ladder alone counts as the first paper") {
    Candidate c;
    tick_item(c.ana, "03.08");
    REQUIRE(c.own().facts.passed.size() == 1);
    CHECK(c.own().facts.passed.front().element == "2");
    CHECK(titles(c.own()) == "Passed | The regulator's fee");
}

TEST_CASE("an upgrade while licensed has its own item, no fee and its identifier until the register shows it") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"Technician", day("2026-03-02"), {}}));
    c.pass("3", "2026-12-01");
    CHECK(titles(c.own()) == "Upgrade passed | Until the register shows General");
    CHECK(domain::state_of(must(node::way(c.ana.context, "")).states, domain::known_item::upgrade_passed).reached());
    must(node::licence_held(c.ana.context, {"G", day("2026-12-01"), {}}));
    CHECK(titles(c.own()) == "Nothing today");
    CHECK(c.own().facts.held_class == "G");
}

TEST_CASE("a pass written down by mistake is taken back") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2026-03-02"), {}}));
    c.pass("3", "2026-12-01");
    must(node::exam_passed(c.ana.context, {"3", {}, true}));
    CHECK(c.own().facts.passed.empty());
    CHECK_FALSE(domain::state_of(must(node::way(c.ana.context, "")).states, domain::known_item::upgrade_passed).tick);
}

TEST_CASE("a tick with words of its own stays when the pass is taken back") {
    Candidate c;
    tick_item(c.ana, "03.08", "the room was cold");
    c.pass("2", "2026-12-01");
    const auto done = must(node::exam_passed(c.ana.context, {"2", {}, true}));
    CHECK(done.sentence.find("is undone with 'tick --undo'") != std::string::npos);
    CHECK(domain::state_of(must(node::way(c.ana.context, "")).states, domain::known_item::exam_passed).tick);
}

TEST_CASE("the end that the register names counts for the renewal") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2017-01-10"), day("2027-01-10")}));
    CHECK(titles(c.own()) == "Renew the licence");
    CHECK(c.seen_by_mentor().facts.dates.licence_expires == day("2027-01-10"));
}

TEST_CASE("without a way the dates stand on the desk") {
    SetClock clock;
    clock.to("2026-12-01T18:00Z");
    MemberNode olga(clock, 7);
    begin_as(olga, "Olga", MemberRole::officer, false, "Hill Club");
    must(node::licence_held(olga.context, {"E", day("2020-05-05"), {}}));
    CHECK(must(node::exam_view(olga.context, "")).facts.held_class == "E");
}

TEST_CASE("a booked session is the day that readiness is reckoned for") {
    Candidate c;
    c.book("2026-12-12");
    CHECK(must(node::way(c.ana.context, "")).dates.exam_booked == day("2026-12-12"));
}

TEST_CASE("without a class written down it is not known whether one may transmit, and what to do is said") {
    Candidate c;
    const auto answer = c.may_answer();
    CHECK(answer.verdict == domain::Verdict::not_known);
    CHECK(answer.reason.find("'ladderline exam licence CLASS --granted DAY'") != std::string::npos);
    CHECK_FALSE(answer.remarks.empty());  // as a guest
}

TEST_CASE("a call sign ticked without any paper leaves the class unknown to the rule book") {
    Candidate c;
    tick_item(c.ana, "04.06", "KD0XAA");
    CHECK(c.may_send() == domain::Verdict::not_known);
}

TEST_CASE("who passed and waits for the first grant may not transmit, which is known") {
    Candidate c;
    c.pass("2", "2026-12-01");
    CHECK(c.may_send() == domain::Verdict::no);
}

TEST_CASE("the class on the own card stands where nothing was said of the register") {
    Candidate c;
    node::CardRequest card;
    card.licence_class = "T";
    must(node::change_card(c.ana.context, card));
    CHECK(c.may_send() == domain::Verdict::yes);
    must(node::licence_held(c.ana.context, {"T", day("2010-01-01"), {}}));
    CHECK(c.may_send() == domain::Verdict::no);
}

TEST_CASE("may I transmit here takes the own class, and none after the licence ended") {
    Candidate c;
    node::MayRequest request;
    request.frequency = "146.52";
    request.licence_class = "own";
    request.ask.mode = "FM";
    must(node::licence_held(c.ana.context, {"T", day("2026-03-02"), {}}));
    CHECK(must(node::may_here(c.ana.context, request)).verdict == domain::Verdict::yes);
    must(node::licence_held(c.ana.context, {"T", day("2016-03-02"), day("2026-03-02")}));
    CHECK(must(node::may_here(c.ana.context, request)).verdict == domain::Verdict::no);
    request.country = "qq";
    CHECK(must_fail(node::may_here(c.ana.context, request)).fault() == Fault::not_found);
}

TEST_CASE("a licence whose end nobody typed ends ten years after its grant, for the rule book too") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2010-01-01"), {}}));
    CHECK(titles(c.own()) == "No exam is booked | The licence has ended");
    CHECK(c.may_send() == domain::Verdict::no);
    CHECK(c.counting().empty());
}

TEST_CASE("who passed anew after the licence had ended holds a new one, for a whole term") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2010-01-01"), {}}));
    must(node::licence_held(c.ana.context, {"T", day("2026-05-01"), {}}));
    CHECK(c.own().facts.dates.grant == day("2026-05-01"));
    CHECK(titles(c.own()).find("The licence has ended") == std::string::npos);
    CHECK(c.may_send() == domain::Verdict::yes);
    CHECK(c.counting() == "2");
}

TEST_CASE("a licence renewed after its end runs from the new grant, and the old end says nothing more") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2016-11-01"), day("2026-11-01")}));
    CHECK(c.may_send() == domain::Verdict::no);
    must(node::licence_held(c.ana.context, {"T", day("2026-11-20"), {}}));
    CHECK(titles(c.own()).find("The licence has ended") == std::string::npos);
    CHECK(c.may_send() == domain::Verdict::yes);
    CHECK_FALSE(c.own().facts.dates.licence_expires.has_value());
}

TEST_CASE("a higher class granted within the term leaves the licence its end") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2017-01-10"), day("2027-01-10")}));
    must(node::licence_held(c.ana.context, {"G", day("2026-11-30"), {}}));
    CHECK(c.own().facts.dates.grant == day("2017-01-10"));
    CHECK(c.own().facts.dates.licence_expires == day("2027-01-10"));
}

// --- Credit of an old Technician licence.

TEST_CASE("a Technician licence granted before 1987-03-21 counts for element 3 as well") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("1987-03-20"), day("2030-01-01")}));
    CHECK(c.counting() == "23");
}

TEST_CASE("a Technician licence granted on 1987-03-21 counts for element 2 alone") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("1987-03-21"), day("2030-01-01")}));
    CHECK(c.counting() == "2");
}

TEST_CASE("element 3 of an old Technician licence counts after its end, and after a renewal") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("1986-05-01"), {}}));
    CHECK(c.counting() == "3");
    must(node::licence_held(c.ana.context, {"T", day("2026-11-20"), {}}));
    CHECK(c.counting() == "23");
}

TEST_CASE("a licence of another class before 1987-03-21 gives a later Technician no credit for element 3") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"N", day("1980-05-01"), day("2030-01-01")}));
    must(node::licence_held(c.ana.context, {"T", day("1990-05-01"), {}}));
    CHECK(c.counting() == "2");
}

// --- A licence that ended longer ago than its grace.

TEST_CASE("who passes after the grace of a licence is on the way to a first one: its item, its fee, no upgrade") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2010-01-01"), {}}));
    c.pass("2", "2026-12-01");
    CHECK(titles(c.own()) == "Passed | The regulator's fee | The licence has ended");
    const auto way = must(node::way(c.ana.context, ""));
    CHECK_FALSE(way.dates.licensed_at_exam);
    CHECK(domain::state_of(way.states, domain::known_item::exam_passed).reached());
    CHECK_FALSE(domain::state_of(way.states, domain::known_item::upgrade_passed).reached());
    must(node::licence_held(c.ana.context, {"T", day("2026-12-01"), {}}));
    CHECK(titles(c.own()) == "Nothing today");
    CHECK(c.may_send() == domain::Verdict::yes);
}

TEST_CASE("a fee paid for the licence that ended long ago is not the fee of the new one") {
    Candidate c;
    tick_on(c.ana, "03.08", "2009-12-20");
    tick_on(c.ana, "04.01", "2009-12-22");
    tick_on(c.ana, "04.03", "2009-12-23");
    tick_on(c.ana, "04.06", "2010-01-01", "KD0XAA");
    c.pass("2", "2026-12-01");
    CHECK(titles(c.own()).find("The regulator's fee") != std::string::npos);
    c.clock.pass_minutes(1);
    tick_on(c.ana, "04.03", "2026-12-01");
    CHECK(titles(c.own()).find("The regulator's fee") == std::string::npos);
}

TEST_CASE("after the grace every class is to be passed for again, and nobody is told to file a renewal") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"G", day("2010-01-01"), {}}));
    const auto view = c.own();
    REQUIRE(view.to_pass.size() == 3);
    CHECK(view.to_pass[0].opens->code == "T");
    CHECK(view.to_pass[1].opens->code == "G");
    CHECK(view.to_pass[1].elements == std::vector<std::string>{"2"});
    CHECK(text_of(view).find("File the renewal") == std::string::npos);
}

TEST_CASE("within the grace a paper is an upgrade, whose rights wait until the licence is renewed") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2016-03-02"), day("2026-03-02")}));
    c.pass("3", "2026-12-01");
    CHECK(titles(c.own()) == "Upgrade passed | The licence has ended");
    CHECK(text_of(c.own()).find("File the renewal") != std::string::npos);
    for (const auto& line : must(node::way(c.ana.context, "")).due) {
        CHECK(line.what != domain::Due::temporary_identifier_ends);
    }
}

TEST_CASE("a renewal of the class held before leaves the upgrade pending, and makes nobody a beginner") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2016-11-25"), day("2026-11-25")}));
    c.pass("3", "2026-11-20");
    must(node::licence_held(c.ana.context, {"T", {}, day("2036-11-25")}));
    CHECK(titles(c.own()) == "Upgrade passed | Until the register shows General");
    for (const auto& line : must(node::way(c.ana.context, "")).due) {
        CHECK(line.what != domain::Due::first_contact_target);
    }
    must(node::licence_held(c.ana.context, {"G", day("2026-12-01"), {}}));
    CHECK(titles(c.own()) == "Nothing today");
}

TEST_CASE("whoever renewed is told how to say so, and the step goes") {
    Candidate c;
    must(node::licence_held(c.ana.context, {"T", day("2017-01-10"), day("2027-01-10")}));
    CHECK(text_of(c.own()).find("'ladderline exam licence CLASS --expires DAY'") != std::string::npos);
    must(node::licence_held(c.ana.context, {"T", {}, day("2037-01-10")}));
    CHECK(titles(c.own()) == "Nothing today");
}

}  // namespace ladderline
