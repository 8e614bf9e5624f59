// Dates that follow from the published rules. The dates were counted with Python's datetime.date.

#include "node/domain/licence/clocks.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

namespace ladderline::test {
namespace {

using namespace ladderline::domain;

Day day(const std::string& text) {
    return parse_day(text).value();
}

const Clocks& clocks() {
    return shipped_clocks();
}

// 47 CFR 97.505(b): credit for a certificate issued "within the previous 365 days" (eCFR, read 2026-06-20). Day 365
// is the last on the plain reading; one coordinator's bulletin names day 364, so that is the last safe day here.
TEST_CASE("a pass certificate counts by days, not by the calendar year") {
    struct Row {
        std::string passed;
        std::string last_safe;
        std::string doubtful;
        std::string over;
    };
    const Row rows[] = {
        {"2026-03-07", "2027-03-06", "2027-03-07", "2027-03-08"},
        {"2027-03-06", "2028-03-04", "2028-03-05", "2028-03-06"},  // across 2028-02-29
        {"2025-12-31", "2026-12-30", "2026-12-31", "2027-01-01"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.passed);
        CHECK(certificate_on(day(row.passed), day(row.last_safe), clocks()) == CertificateDay::safe);
        CHECK(certificate_on(day(row.passed), day(row.doubtful), clocks()) == CertificateDay::doubtful);
        CHECK(certificate_on(day(row.passed), day(row.over), clocks()) == CertificateDay::over);
    }
}

// 47 CFR 97.25 (term ten years; question T1C08 of the Technician pool 2026-2030). A grant on 29 February: the rule
// does not say; the earlier day is the careful reading.
TEST_CASE("a licence runs ten years from its grant") {
    CHECK(to_iso(licence_expiry(day("2026-11-25"), clocks())) == "2036-11-25");
    CHECK(to_iso(licence_expiry(day("2024-02-29"), clocks())) == "2034-02-28");
}

// 47 CFR 97.21(a)(3) and 1.949: no more than 90 days before it ends (question T1C07).
TEST_CASE("a renewal may be filed ninety days before the licence ends") {
    CHECK(to_iso(renewal_opens(day("2036-02-10"), clocks())) == "2035-11-12");
    CHECK(to_iso(renewal_opens(day("2026-03-01"), clocks())) == "2025-12-01");
}

// 47 CFR 97.21(b): two years after the end (question T1C09), without transmitting until renewed (T1C11).
TEST_CASE("an expired licence may be renewed for two years, in silence") {
    CHECK(to_iso(grace_ends(day("2036-02-10"), clocks())) == "2038-02-10");
    CHECK(to_iso(grace_ends(day("2036-02-29"), clocks())) == "2038-02-28");
    CHECK_FALSE(must_be_silent(day("2036-02-10"), day("2036-02-10")));
    CHECK(must_be_silent(day("2036-02-10"), day("2036-02-11")));
}

TEST_CASE("before the window, in it, in the grace and after it, the licence's line says what may be done") {
    KnownDates known;
    known.licence_expires = day("2036-02-10");
    struct Row {
        std::string today;
        Due what;
        std::string day;
    };
    const Row rows[] = {
        {"2035-11-11", Due::renewal_opens, "2035-11-12"}, {"2035-11-12", Due::licence_ends, "2036-02-10"},
        {"2036-02-10", Due::licence_ends, "2036-02-10"},  {"2036-02-11", Due::grace_ends, "2038-02-10"},
        {"2038-02-10", Due::grace_ends, "2038-02-10"},    {"2038-02-11", Due::grace_ends, "2038-02-10"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.today);
        const auto lines = due(known, clocks(), day(row.today));
        REQUIRE(lines.size() == 1);
        CHECK(lines.front().what == row.what);
        CHECK(to_iso(lines.front().day) == row.day);
        CHECK(lines.front().hard);
    }
}

// FCC public notices of March and April 2022 on the application fee: ten calendar days, else dismissed; none for an
// upgrade (corrected on 2022-04-04).
TEST_CASE("the fee of a first licence is due ten calendar days after the notice, weekends counted") {
    KnownDates known;
    known.exam_passed = day("2026-11-18");
    known.fee_notice = day("2026-11-20");  // a Friday
    const auto lines = due(known, clocks(), day("2026-11-20"));
    for (const DueLine& line : lines) {
        if (line.what == Due::fee_last_day) CHECK(to_iso(line.day) == "2026-11-30");
    }
    CHECK(std::count_if(lines.begin(), lines.end(), [](auto& l) { return l.what == Due::fee_last_day; }) == 1);
}

// 47 CFR 97.9(b): until the application is disposed of, or 365 days after the examination, whichever comes first.
TEST_CASE("the temporary authority of an upgrade ends by day 365") {
    KnownDates known;
    known.exam_passed = day("2026-03-07");
    known.licensed_at_exam = true;
    std::vector<std::string> days;
    for (const DueLine& line : due(known, clocks(), day("2026-03-08"))) {
        if (line.what == Due::temporary_identifier_ends) days.push_back(to_iso(line.day));
    }
    CHECK(days == std::vector<std::string>{"2027-03-07"});
}

}  // namespace
}  // namespace ladderline::test
