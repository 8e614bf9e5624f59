// Classes, examinations, credit and identifiers against the published rules. Read: eCFR mirror pages of 97.503
// (currency 2026-04-05), 97.505 and 97.507 (2026-06-20); 97.501 and 97.9 in copies of a law site; a coordinator's
// manual for the identifiers; pool items by their numbers.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "node/domain/licence/exam_steps.hpp"
#include "node/domain/rules/transmit.hpp"

using namespace ladderline;
using namespace ladderline::domain;

namespace {

using Elements = std::vector<std::string>;

const RuleBook& us() {
    return *shipped_rule_book("us").value();
}

}  // namespace

// 47 CFR 97.503: 35, 35 and 50 questions; 26, 26 and 37 right answers.
TEST_CASE("an element is passed by counted answers") {
    struct Row {
        const char* element;
        int questions;
        int least;
    };
    for (const Row& row : {Row{"2", 35, 26}, Row{"3", 35, 26}, Row{"4", 50, 37}}) {
        CAPTURE(row.element);
        const Exam* exam = us().find_exam(row.element);
        REQUIRE(exam != nullptr);
        CHECK(exam->questions == row.questions);
        CHECK(exam->least_right == row.least);
        CHECK(exam->source.certain);
    }
}

// 97.501(a) to (c), 97.9(a); pool item T1C01: three classes are given today.
TEST_CASE("three classes are given, two are only held") {
    std::string given;
    std::string held;
    for (const LicenceClass& c : us().classes) (c.granted ? given : held) += c.code;
    CHECK(given == "TGE");
    CHECK(held == "NA");
    CHECK(us().find_class("T")->elements == Elements{"2"});
    CHECK(us().find_class("G")->elements == Elements{"2", "3"});
    CHECK(us().find_class("Amateur Extra")->elements == Elements{"2", "3", "4"});
}

// 97.505(a): credit by licence; pool items G1D01 and G1D11.
TEST_CASE("element credit of a licence depends on whether its grace has ended") {
    CHECK(us().credit("G", true)->elements == Elements{"2", "3"});
    CHECK(us().credit("G", false)->elements == Elements{"3"});
    CHECK(us().credit("A", false)->elements == Elements{"3"});
    CHECK(us().credit("E", false)->elements == Elements{"3", "4"});
    CHECK(us().credit("T", true)->elements == Elements{"2"});
    CHECK(us().credit("T", false)->elements.empty());
    const Day before = parse_day("1987-03-20").value();
    CHECK(us().credit("T", true, before)->elements == Elements{"2", "3"});
    CHECK(us().credit("T", false, before)->elements == Elements{"3"});
    CHECK(us().credit("T", true, before + 1)->elements == Elements{"2"});
}

// 97.119(f)(1) to (3); pool item G1D06 for AG.
TEST_CASE("the temporary identifier follows from the class aimed at") {
    struct Row {
        const char* from;
        const char* to;
        const char* identifier;  // empty: none
    };
    const Row rows[] = {
        {"N", "T", "KT"}, {"N", "G", "AG"}, {"T", "G", "AG"}, {"N", "E", "AE"}, {"T", "E", "AE"}, {"G", "E", "AE"},
        {"A", "E", "AE"}, {"G", "T", ""},   {"E", "G", ""},   {"", "T", ""},    {"", "G", ""},
    };
    for (const Row& row : rows) {
        CAPTURE(row.from);
        CAPTURE(row.to);
        CHECK(temporary_identifier(us(), row.from, row.to) == row.identifier);
    }
}

// 97.9(b), T1A05, T1C10: a first licence begins in the register; a certificate is none.
TEST_CASE("a certificate lets nobody transmit who had no licence") {
    TransmitAsk ask;
    ask.pending_class = "G";
    ask.frequency_hz = parse_frequency("14.250").value();
    ask.mode = "USB";
    CHECK(may_transmit(us(), ask).value().verdict == Verdict::no);
}

// 97.9(b) and 97.119(f)(2): the new rights at once, with the identifier; without it where the old class will do.
TEST_CASE("an upgrade is used at once, and named only where the old class would not do") {
    TransmitAsk ask;
    ask.control_class = "T";
    ask.pending_class = "G";
    ask.frequency_hz = parse_frequency("14.250").value();
    ask.mode = "USB";
    const auto beyond = may_transmit(us(), ask).value();
    CHECK(beyond.verdict == Verdict::yes);
    CHECK(beyond.indicator == "AG");
    ask.frequency_hz = parse_frequency("146.520").value();
    ask.mode = "FM";
    const auto old_right = may_transmit(us(), ask).value();
    CHECK(old_right.verdict == Verdict::yes);
    CHECK(old_right.indicator.empty());
}

// 97.115(b)(1), T1E01: a guest speaks while the control operator is there; 97.115(a)(2), T1F07: abroad by agreement.
TEST_CASE("a guest speaks under somebody's licence, beside them, and abroad only by agreement") {
    TransmitAsk ask;
    ask.control_class = "T";
    ask.frequency_hz = parse_frequency("146.520").value();
    ask.mode = "FM";
    ask.guest_speaks = true;
    CHECK(may_transmit(us(), ask).value().verdict == Verdict::yes);
    ask.to_other_country = true;
    CHECK(may_transmit(us(), ask).value().verdict == Verdict::not_known);
    ask.operator_stays = false;
    CHECK(may_transmit(us(), ask).value().verdict == Verdict::no);
}
