#include "node/domain/licence/exam_steps.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

Day day(const std::string& iso) {
    return parse_day(iso).value();
}

const RuleBook& us() {
    return *shipped_rule_book("us").value();
}

std::vector<ExamStep> on(const ExamFacts& facts, const std::string& today) {
    return exam_steps(us(), facts, shipped_clocks(), day(today));
}

std::string titles(const std::vector<ExamStep>& steps) {
    std::string out;
    for (const ExamStep& step : steps) out += (out.empty() ? "" : " | ") + step.title;
    return out;
}

bool says(const std::vector<ExamStep>& steps, const std::string& words) {
    return std::any_of(steps.begin(), steps.end(), [&](const ExamStep& step) {
        return std::any_of(step.sentences.begin(), step.sentences.end(),
                           [&](const std::string& s) { return s.find(words) != std::string::npos; });
    });
}

ExamFacts booked_for(const std::string& iso) {
    ExamFacts facts;
    facts.dates.exam_booked = day(iso);
    facts.booked_element = "2";
    facts.booked_place = "Valley library";
    return facts;
}

ExamFacts first_pass(const std::string& iso) {
    ExamFacts facts;
    facts.dates.exam_passed = day(iso);
    facts.passed = {{"2", day(iso), false}};
    return facts;
}

ExamFacts upgrade_pass(const std::string& iso) {
    ExamFacts facts;
    facts.dates.exam_passed = day(iso);
    facts.dates.licensed_at_exam = true;
    facts.dates.grant = day("2026-01-10");
    facts.passed = {{"3", day(iso), true}};
    facts.held_class = "T";
    return facts;
}

}  // namespace

TEST_CASE("before anything is booked the size of the paper is told") {
    const auto steps = on({}, "2026-11-01");
    CHECK(titles(steps) == "No exam is booked");
    CHECK(says(steps, "Element 2 has 35 questions; 26 right answers pass (47 CFR 97.503(a))."));
}

TEST_CASE("what to bring is shown from seven days before, and the manners of the day on the day alone") {
    const ExamFacts facts = booked_for("2026-12-12");
    CHECK(titles(on(facts, "2026-12-04")) == "Your exam, element 2 is in 8 days");
    CHECK_FALSE(says(on(facts, "2026-12-04"), "photo identity"));
    CHECK(says(on(facts, "2026-12-05"), "photo identity"));
    CHECK_FALSE(says(on(facts, "2026-12-11"), "Telephones stay off"));
    CHECK(titles(on(facts, "2026-12-11")) == "Your exam, element 2 is tomorrow");
    CHECK(titles(on(facts, "2026-12-12")) == "Your exam, element 2 is today");
    CHECK(says(on(facts, "2026-12-12"), "Telephones stay off"));
    CHECK(says(on(facts, "2026-12-12"), "2026-12-12, Valley library"));
}

TEST_CASE("the exam team comes first whenever a session is near") {
    for (const char* today : {"2026-11-12", "2026-12-05", "2026-12-12"}) {
        CHECK(says(on(booked_for("2026-12-12"), today), "The exam team's own instructions come first"));
    }
}

TEST_CASE("what is only for a first licence is not shown to somebody licensed, nor the other way round") {
    ExamFacts facts = booked_for("2026-12-12");
    CHECK(says(on(facts, "2026-12-12"), "FRN"));
    CHECK_FALSE(says(on(facts, "2026-12-12"), "A copy of your licence"));
    facts.held_class = "T";
    CHECK_FALSE(says(on(facts, "2026-12-12"), "FRN"));
    CHECK(says(on(facts, "2026-12-12"), "A copy of your licence"));
}

TEST_CASE("after the day somebody asks how it went, until something is said") {
    ExamFacts facts = booked_for("2026-12-12");
    CHECK(titles(on(facts, "2026-12-13")) == "How did it go?");
    facts.not_passed = {{"2", day("2026-12-12")}};
    CHECK(titles(on(facts, "2026-12-13")) == "Not this time");
}

TEST_CASE("a session for what was passed elsewhere meanwhile is shown no more") {
    ExamFacts facts = booked_for("2026-12-12");
    facts.held_class = "T";
    facts.passed = {{"2", day("2026-12-01"), false}};
    CHECK(titles(on(facts, "2026-12-02")) == "Nothing today");
    facts.booked_element = "3";
    CHECK(titles(on(facts, "2026-12-02")) == "Your exam, element 3 is in 10 days");
}

TEST_CASE("a paper that did not pass is met with kindness for a month, and stays on the desk") {
    ExamFacts facts;
    facts.not_passed = {{"2", day("2026-12-12")}};
    CHECK(says(on(facts, "2026-12-13"), "Many good operators sat a paper twice"));
    CHECK(says(on(facts, "2026-12-13"), "on your own desk alone"));
    CHECK(titles(on(facts, "2027-01-11")) == "No exam is booked | Not this time");
    CHECK(titles(on(facts, "2027-01-12")) == "No exam is booked");
    facts.dates.exam_booked = day("2027-02-01");
    CHECK(titles(on(facts, "2026-12-13")) == "Your exam is in 50 days");
}

TEST_CASE("a first licence waits for the register, with the certificate's and the fee's clocks") {
    ExamFacts facts = first_pass("2026-12-12");
    const auto before = on(facts, "2026-12-13");
    CHECK(titles(before) == "Passed | The regulator's fee");
    CHECK(says(before, "the certificate counts until 2027-12-11 (363 days); show it to your mentor"));
    CHECK(says(before, "Nothing is sent under a call sign of your own yet"));
    CHECK(says(before, "there are 10 calendar days"));
    facts.dates.fee_notice = day("2026-12-15");
    facts.passed.front().confirmed = true;
    const auto noticed = on(facts, "2026-12-16");
    CHECK(says(noticed, "Pay the regulator's fee by 2026-12-25"));
    CHECK(says(noticed, "your mentor has seen it"));
    facts.dates.fee_paid = day("2026-12-16");
    CHECK(titles(on(facts, "2026-12-16")) == "Passed");
    facts.dates.grant = day("2026-12-18");
    CHECK(titles(on(facts, "2026-12-19")) == "Nothing today");
}

TEST_CASE("an upgrade pays nothing and is used with its identifier until the register shows it") {
    ExamFacts facts = upgrade_pass("2026-12-12");
    const auto steps = on(facts, "2026-12-13");
    CHECK(titles(steps) == "Upgrade passed | Until the register shows General");
    CHECK(says(steps, "No fee is due for an upgrade"));
    CHECK(says(steps, "add AG to your call sign"));
    CHECK(says(steps, "after 2027-12-12, whichever comes first"));
    facts.dates.class_visible = day("2026-12-20");
    CHECK(titles(on(facts, "2026-12-20")) == "Nothing today");
}

TEST_CASE("after 365 days the temporary rights are over") {
    const auto steps = on(upgrade_pass("2026-12-12"), "2027-12-13");
    CHECK_FALSE(says(steps, "add AG"));
    CHECK(says(steps, "the certificate counted until 2027-12-11"));
    CHECK(says(steps, "The temporary rights ended on 2027-12-12"));
}

TEST_CASE("on day 365 the certificate is doubtful, and the temporary rights still run") {
    CHECK(says(on(upgrade_pass("2026-12-12"), "2027-12-12"), "add AG to your call sign"));
}

TEST_CASE("a certificate out of date is no pass to be glad of: the paper is taken again, and no fee is asked for") {
    const auto first = on(first_pass("2026-12-12"), "2027-12-13");
    CHECK(titles(first) == "No exam is booked | The certificate has run out");
    CHECK(says(first, "the element has to be passed again"));
    CHECK(says(first, "If the register shows your call sign meanwhile, tick 04.06"));
    const auto upgrade = on(upgrade_pass("2026-12-12"), "2027-12-13");
    CHECK(titles(upgrade) == "The certificate has run out | Until the register shows General");
    CHECK(says(upgrade, "If the register shows the new class meanwhile"));
}

TEST_CASE("renewal shows itself ninety days before the end, and silence after it") {
    ExamFacts facts;
    facts.held_class = "T";
    facts.dates.licence_expires = day("2036-02-10");
    CHECK(titles(on(facts, "2035-11-11")) == "Nothing today");
    CHECK(titles(on(facts, "2035-11-12")) == "Renew the licence");
    CHECK(titles(on(facts, "2036-02-11")) == "The licence has ended");
    CHECK(says(on(facts, "2036-02-11"), "do not transmit until it is renewed"));
}

TEST_CASE("elements count by certificate for 364 safe days, and by the licence held") {
    ExamFacts facts = upgrade_pass("2026-12-12");
    const auto counting = [&](const std::string& today) {
        std::string out;
        for (const CreditView& c : credits(us(), facts, shipped_clocks(), day(today))) {
            if (c.counts) out += c.element;
        }
        return out;
    };
    CHECK(counting("2027-12-11") == "32");
    CHECK(counting("2027-12-12") == "2");  // doubtful: ask the team
    CHECK(counting("2027-12-13") == "2");
    CHECK(counting("2038-01-10") == "2");  // the last day of the grace of a licence of 2026-01-10
    CHECK(counting("2038-01-11").empty());
}

TEST_CASE("what is still to pass is told for each class above one's own") {
    ExamFacts facts;
    facts.held_class = "G";
    const auto left = still_to_pass(us(), facts, shipped_clocks(), day("2026-12-12"));
    REQUIRE(left.size() == 1);
    CHECK(left.front().opens->code == "E");
    CHECK(left.front().elements == std::vector<std::string>{"4"});
    const auto beginner = still_to_pass(us(), {}, shipped_clocks(), day("2026-12-12"));
    CHECK(beginner.size() == 3);
    CHECK(beginner.back().elements == std::vector<std::string>{"2", "3", "4"});
}

TEST_CASE("a certificate that ends before the booked session is named with its last day") {
    ExamFacts facts = booked_for("2027-01-20");
    facts.passed = {{"3", day("2026-01-10"), false}};
    CHECK(says(on(facts, "2026-12-20"), "The certificate of element 3 counts until 2027-01-09, before that day"));
    facts.passed = {{"3", day("2026-02-10"), false}};
    CHECK_FALSE(says(on(facts, "2026-12-20"), "The certificate of element 3"));
}

TEST_CASE("elements 2 and 3 open General, and 3 alone opens nothing") {
    CHECK(class_opened(us(), {"2", "3"})->code == "G");
    CHECK(class_opened(us(), {"3"}) == nullptr);
}
