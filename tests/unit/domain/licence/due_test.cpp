#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "node/domain/licence/clocks.hpp"

namespace ladderline::test {
namespace {

using namespace ladderline::domain;

Day day(const std::string& text) {
    return parse_day(text).value();
}

std::vector<DueLine> on(const KnownDates& known, const std::string& today) {
    return due(known, shipped_clocks(), day(today));
}

// The day of the line, "-" if there is none.
std::string day_of(const std::vector<DueLine>& lines, Due what) {
    const auto at = std::find_if(lines.begin(), lines.end(), [&](const DueLine& l) { return l.what == what; });
    return at != lines.end() ? to_iso(at->day) : "-";
}

KnownDates passed_on(const std::string& exam) {
    KnownDates known;
    known.exam_passed = day(exam);
    return known;
}

TEST_CASE("nothing known, nothing due") {
    CHECK(on({}, "2026-11-25").empty());
}

TEST_CASE("the next reminder of the fee is the first that has not gone by; paying ends them") {
    KnownDates known = passed_on("2026-11-18");
    known.fee_notice = day("2026-11-20");
    struct Row {
        std::string today;
        std::string reminder;
        std::string last;
    };
    const Row rows[] = {
        {"2026-11-20", "2026-11-22", "2026-11-30"}, {"2026-11-22", "2026-11-22", "2026-11-30"},
        {"2026-11-23", "2026-11-25", "2026-11-30"}, {"2026-11-28", "2026-11-28", "2026-11-30"},
        {"2026-11-29", "-", "2026-11-30"},          {"2026-11-30", "-", "2026-11-30"},
        {"2026-12-01", "-", "2026-11-30"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.today);
        CHECK(day_of(on(known, row.today), Due::fee_reminder) == row.reminder);
        CHECK(day_of(on(known, row.today), Due::fee_last_day) == row.last);
    }
    known.fee_paid = day("2026-11-24");
    CHECK(day_of(on(known, "2026-11-25"), Due::fee_last_day) == "-");
}

TEST_CASE("nobody is asked for a first contact under a licence that has ended") {
    KnownDates known;
    known.grant = day("2010-01-05");
    CHECK(day_of(on(known, "2019-12-31"), Due::first_contact_alarm) != "-");
    CHECK(day_of(on(known, "2020-01-06"), Due::first_contact_alarm) == "-");
    CHECK(day_of(on(known, "2026-01-06"), Due::first_contact_alarm) == "-");
}

TEST_CASE("after the fee's last day the sentence says whom to ask, and blames nobody") {
    KnownDates known = passed_on("2026-11-18");
    known.fee_notice = day("2026-11-20");
    const auto lines = on(known, "2026-12-01");
    const auto at = std::find_if(lines.begin(), lines.end(), [](auto& l) { return l.what == Due::fee_last_day; });
    REQUIRE(at != lines.end());
    CHECK(at->days_left == -1);
    CHECK(at->sentence.find("file again with the certificate") != std::string::npos);
}

TEST_CASE("a fee is filed again while the certificate counts, its doubtful day included") {
    KnownDates known = passed_on("2026-03-07");
    known.fee_notice = day("2026-03-10");
    CHECK(day_of(on(known, "2027-03-07"), Due::fee_last_day) == "2026-03-20");
    CHECK(day_of(on(known, "2027-03-08"), Due::fee_last_day) == "-");
}

TEST_CASE("a licence renewed in its grace makes nobody a beginner, and one begun anew does") {
    KnownDates known;
    known.class_since = day("2016-11-25");
    known.grant = day("2026-11-27");
    CHECK(day_of(on(known, "2026-11-28"), Due::first_contact_target) == "-");
    CHECK(day_of(on(known, "2026-11-28"), Due::official_copy) == "2026-12-27");
    known.exam_passed = day("2026-11-20");
    CHECK(day_of(on(known, "2026-11-28"), Due::first_contact_target) == "2026-12-11");
    known.licensed_at_exam = true;
    known.class_since = day("2026-11-27");  // of the higher class
    CHECK(day_of(on(known, "2026-11-28"), Due::first_contact_target) == "-");
}

TEST_CASE("the certificate is shown with its last safe day, its doubtful day, and then as gone") {
    const KnownDates known = passed_on("2026-03-07");
    CHECK(day_of(on(known, "2027-03-06"), Due::certificate_ends) == "2027-03-06");
    CHECK(day_of(on(known, "2027-03-06"), Due::certificate_doubtful) == "-");
    CHECK(day_of(on(known, "2027-03-07"), Due::certificate_doubtful) == "2027-03-07");
    CHECK(day_of(on(known, "2027-03-07"), Due::certificate_ends) == "-");
    CHECK(day_of(on(known, "2027-03-08"), Due::certificate_ends) == "2027-03-06");
}

TEST_CASE("a call sign in the register ends the certificate's clock and starts the first contact's") {
    KnownDates known = passed_on("2026-11-01");
    known.grant = day("2026-11-10");
    const auto lines = on(known, "2026-11-12");
    CHECK(day_of(lines, Due::certificate_ends) == "-");
    CHECK(day_of(lines, Due::grant_expected) == "-");
    CHECK(day_of(lines, Due::first_contact_target) == "2026-11-24");
    CHECK(day_of(lines, Due::official_copy) == "2026-12-10");
}

TEST_CASE("after the aim for a first contact comes the day on which somebody asks") {
    KnownDates known;
    known.grant = day("2026-11-10");
    CHECK(day_of(on(known, "2026-11-24"), Due::first_contact_alarm) == "-");
    CHECK(day_of(on(known, "2026-11-25"), Due::first_contact_target) == "-");
    CHECK(day_of(on(known, "2026-11-25"), Due::first_contact_alarm) == "2026-12-10");
    known.first_contact = day("2026-11-25");
    CHECK(day_of(on(known, "2026-11-26"), Due::first_contact_alarm) == "-");
}

TEST_CASE("after one contact a second within a week, after three quiet weeks one kind note") {
    KnownDates known;
    known.first_contact = known.last_contact = day("2026-11-01");
    CHECK(day_of(on(known, "2026-11-05"), Due::second_contact) == "2026-11-08");
    CHECK(day_of(on(known, "2026-11-05"), Due::quiet_note) == "2026-11-22");
    CHECK(day_of(on(known, "2026-11-23"), Due::second_contact) == "-");
    known.last_mentor_touch = day("2026-11-21");
    CHECK(day_of(on(known, "2026-11-21"), Due::quiet_note) == "2026-11-22");  // not quiet yet
    known.last_mentor_touch = day("2026-11-23");
    CHECK(day_of(on(known, "2026-12-24"), Due::quiet_note) == "-");
    known.last_contact = day("2026-12-25");
    CHECK(day_of(on(known, "2026-12-25"), Due::quiet_note) == "2027-01-15");
}

TEST_CASE("an upgrade has no fee and no first contact to wait for, but a temporary identifier") {
    KnownDates known = passed_on("2026-03-07");
    known.licensed_at_exam = true;
    known.fee_notice = day("2026-03-09");
    const auto lines = on(known, "2026-03-10");
    CHECK(day_of(lines, Due::fee_last_day) == "-");
    CHECK(day_of(lines, Due::grant_expected) == "-");
    CHECK(day_of(lines, Due::temporary_identifier_ends) == "2027-03-07");
    CHECK(day_of(lines, Due::new_privilege) == "2026-04-06");
    known.class_visible = day("2026-03-12");
    CHECK(day_of(on(known, "2026-03-12"), Due::temporary_identifier_ends) == "-");
    CHECK(day_of(on(known, "2026-03-12"), Due::certificate_ends) == "-");
}

TEST_CASE("the mentor is in touch weekly at first, then every two weeks, then monthly") {
    const Day start = day("2026-01-05");
    struct Row {
        std::optional<Day> last;
        std::string next;
    };
    const Row rows[] = {
        {{}, "2026-01-12"},
        {day("2026-01-12"), "2026-01-19"},
        {day("2026-02-03"), "2026-02-10"},  // day 29
        {day("2026-02-04"), "2026-02-18"},  // day 30
        {day("2026-04-04"), "2026-04-18"},  // day 89
        {day("2026-04-05"), "2026-05-05"},  // day 90
        {day("2025-12-01"), "2026-01-12"},  // before the pairing
    };
    for (const Row& row : rows) {
        CAPTURE(row.next);
        CHECK(to_iso(next_touch(start, row.last, shipped_clocks())) == row.next);
    }
}

TEST_CASE("a pairing is reviewed three times") {
    const Day start = day("2026-01-05");
    CHECK(next_review(start, {}, shipped_clocks()) == day("2026-02-04"));
    CHECK(next_review(start, day("2026-02-04"), shipped_clocks()) == day("2026-04-05"));
    CHECK(next_review(start, day("2026-04-10"), shipped_clocks()) == day("2027-01-05"));
    CHECK_FALSE(next_review(start, day("2027-01-05"), shipped_clocks()));
}

TEST_CASE("who rests hears only of rules, not of customs") {
    KnownDates known = passed_on("2026-11-18");
    known.fee_notice = day("2026-11-20");
    known.pairing_start = day("2026-11-01");
    known.resting = true;
    const auto lines = on(known, "2026-11-21");
    CHECK(std::all_of(lines.begin(), lines.end(), [](const DueLine& l) { return l.hard; }));
    CHECK(day_of(lines, Due::fee_last_day) == "2026-11-30");
}

TEST_CASE("a booked exam is a date until its day is over") {
    KnownDates known;
    known.exam_booked = day("2026-07-01");
    CHECK(day_of(on(known, "2026-05-01"), Due::exam_day) == "2026-07-01");
    CHECK(day_of(on(known, "2026-07-01"), Due::exam_day) == "2026-07-01");
    CHECK(day_of(on(known, "2026-07-02"), Due::exam_day) == "-");
    known.exam_passed = day("2026-07-01");
    CHECK(day_of(on(known, "2026-07-01"), Due::exam_day) == "-");
}

TEST_CASE("a pool that ends before the exam is said so; one that holds is not") {
    KnownDates known;
    known.exam_booked = day("2026-07-01");
    known.pool_last_day = day("2026-06-30");
    CHECK(day_of(on(known, "2026-05-01"), Due::pool_ends) == "2026-06-30");
    known.exam_booked = day("2026-06-30");
    CHECK(day_of(on(known, "2026-05-01"), Due::pool_ends) == "-");
}

TEST_CASE("the end of a consent shows up sixty days ahead") {
    KnownDates known;
    known.consent_until = day("2026-12-31");
    CHECK(on(known, "2026-10-31").empty());
    CHECK(day_of(on(known, "2026-11-01"), Due::consent_ends) == "2026-12-31");
    CHECK(day_of(on(known, "2027-01-01"), Due::consent_ends) == "2026-12-31");
}

TEST_CASE("the list is in order of days, with the days that are left") {
    KnownDates known = passed_on("2026-11-18");
    known.fee_notice = day("2026-11-20");
    known.pairing_start = day("2026-11-18");
    const auto lines = on(known, "2026-11-21");
    CHECK(std::is_sorted(lines.begin(), lines.end(), [](auto& a, auto& b) { return a.day < b.day; }));
    for (const DueLine& line : lines) CHECK(line.days_left == days_between(day("2026-11-21"), line.day));
}

}  // namespace
}  // namespace ladderline::test
