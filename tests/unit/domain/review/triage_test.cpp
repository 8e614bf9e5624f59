#include "node/domain/review/triage.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

const Day today = parse_day("2026-11-25").value();

// In the club for 100 days, active about every third day, nothing wrong.
TriageFacts person(const char* id) {
    TriageFacts out;
    out.id = id;
    out.active_days_recent = 7;
    out.active_days_before = 26;
    out.days_before = 79;
    out.days_in_club = 100;
    return out;
}

TriageFacts silent(const char* id) {
    TriageFacts out = person(id);
    out.active_days_recent = 0;
    out.days_since_active = 30;
    return out;
}

TriageLine line_of(const TriageFacts& facts, std::span<const SurvivalCurve> curves = {}) {
    return triage(std::vector<TriageFacts>{facts}, curves, today).lines.at(0);
}

double part(const TriageLine& line, TriagePart which) {
    return line.parts[static_cast<std::size_t>(which)];
}

std::string order_of(const TriageList& list) {
    std::string out;
    for (const TriageLine& line : list.lines) out += line.id;
    return out;
}

}  // namespace

TEST_CASE("a newcomer with whom all is well does not stand out") {
    const TriageLine line = line_of(person("a"));
    CHECK(line.reasons.empty());
    CHECK(to_text(line) == "Nothing stands out.");
}

TEST_CASE("an empty list has no common habit") {
    const TriageList list = triage({}, {}, today);
    CHECK(list.lines.empty());
    CHECK(list.common_habit == 0);
}

TEST_CASE("a first day in the club is no silence") {
    TriageFacts facts;
    facts.id = "new";
    CHECK(line_of(facts).score == 0);
}

TEST_CASE("points for waiting grow to 25 within ten days") {
    TriageFacts facts = person("a");
    for (const auto& [days, points] : {std::pair{0.0, 0.0}, {4.0, 10.0}, {10.0, 25.0}, {300.0, 25.0}}) {
        facts.waiting_days = days;
        CHECK(part(line_of(facts), TriagePart::waiting) == doctest::Approx(points));
    }
}

TEST_CASE("points for being overdue begin at the median and are full at 95 of 100") {
    const std::vector<SurvivalCurve> curves{[] {
        std::vector<Wait> waits;
        for (int day = 1; day <= 100; ++day) waits.push_back({static_cast<double>(day), true});
        return SurvivalCurve::of(waits);
    }()};
    TriageFacts facts = person("a");
    for (const auto& [days, points] : {std::pair{10.0, 0.0}, {50.0, 0.0}, {77.0, 15.0}, {95.0, 25.0}, {100.0, 25.0}}) {
        facts.days_in_stage = days;
        CHECK(part(line_of(facts, curves), TriagePart::overdue) == doctest::Approx(points));
    }
}

TEST_CASE("a stage that nobody has left yet makes nobody overdue") {
    TriageFacts facts = person("a");
    facts.stage = 9;
    facts.days_in_stage = 900;
    CHECK(part(line_of(facts), TriagePart::overdue) == 0);
}

TEST_CASE("silence is measured against the person's own habit") {
    TriageFacts seldom = person("seldom");
    seldom.active_days_recent = 1;
    seldom.active_days_before = 5;
    seldom.days_since_active = 10;
    TriageFacts often = person("often");
    often.active_days_recent = 1;
    often.active_days_before = 70;
    often.days_since_active = 10;
    const TriageList list = triage(std::vector<TriageFacts>{seldom, often}, {}, today);
    CHECK(order_of(list) == "oftenseldom");
    CHECK(part(list.lines[0], TriagePart::silence) == doctest::Approx(40));
    CHECK(part(list.lines[1], TriagePart::silence) < 20);
}

TEST_CASE("somebody on leave gets no points for silence until the day given") {
    TriageFacts facts = silent("a");
    CHECK(part(line_of(facts), TriagePart::silence) > 20);
    facts.on_leave_until = today + 1;
    CHECK(part(line_of(facts), TriagePart::silence) == 0);
    facts.on_leave_until = today;
    CHECK(part(line_of(facts), TriagePart::silence) > 20);
}

TEST_CASE("an answer that all is fine takes the points for silence away for fourteen days") {
    TriageFacts facts = silent("a");
    facts.asked_is_fine_on = today + -13;
    CHECK(part(line_of(facts), TriagePart::silence) == 0);
    facts.asked_is_fine_on = today + -14;
    CHECK(part(line_of(facts), TriagePart::silence) > 20);
}

TEST_CASE("leave does not hide a question that waits") {
    TriageFacts facts = silent("a");
    facts.on_leave_until = today + 30;
    facts.waiting_days = 10;
    CHECK(line_of(facts).score == doctest::Approx(25));
}

TEST_CASE("whole points add up to the rounded sum") {
    struct Row {
        std::array<double, triage_parts> exact;
        std::array<int, triage_parts> shown;
    };
    static constexpr Row rows[] = {
        {{2.5778, 0, 9.1211, 0}, {3, 0, 9, 0}},
        {{0.4, 0.4, 0.4, 0}, {1, 0, 0, 0}},
        {{22.3513, 25, 0.2787, 0}, {23, 25, 0, 0}},
        {{1.6, 1.6, 1.6, 0}, {2, 2, 1, 0}},
        {{0, 0, 0, 0}, {0, 0, 0, 0}},
        {{25, 25, 40, 10}, {25, 25, 40, 10}},
        {{0.5, 0.5, 0, 0}, {1, 0, 0, 0}},
    };
    for (const Row& row : rows) {
        CAPTURE(row.exact[0]);
        CHECK(whole_parts(row.exact) == row.shown);
    }
}

TEST_CASE("reasons are the parts of at least five points, largest first") {
    TriageFacts facts = silent("a");
    facts.waiting_days = 6;
    facts.without_mentor = true;
    const TriageLine line = line_of(facts);
    REQUIRE(line.reasons.size() == 3);
    CHECK(line.reasons[0].part == TriagePart::silence);
    CHECK(line.reasons[1].part == TriagePart::waiting);
    CHECK(line.reasons[1].sentence == "A question has waited 6 days for an answer from us.");
    CHECK(line.reasons[2].part == TriagePart::no_mentor);
}

TEST_CASE("equal scores are settled by the longer time in the stage, then by id") {
    TriageFacts a = person("a");
    TriageFacts b = person("b");
    TriageFacts c = person("c");
    b.days_in_stage = 5;
    CHECK(order_of(triage(std::vector<TriageFacts>{c, a, b}, {}, today)) == "bac");
}

TEST_CASE("a line says what alone would be enough for nothing to stand out") {
    TriageFacts waiting = person("a");
    waiting.waiting_days = 8;
    CHECK(line_of(waiting).falls_out_if == std::vector<std::string>{"the question were answered"});
    waiting.without_mentor = true;
    CHECK(line_of(waiting).falls_out_if.empty());  // each alone leaves ten points
}

TEST_CASE("news takes somebody off the list only if the weeks before were not too quiet") {
    TriageFacts quiet = person("a");
    quiet.active_days_recent = 5;
    quiet.days_since_active = 12;
    REQUIRE_FALSE(line_of(quiet).reasons.empty());
    CHECK(line_of(quiet).falls_out_if == std::vector<std::string>{"there were any news of them"});
    CHECK(line_of(silent("b")).falls_out_if.empty());
}

TEST_CASE("where nothing stands out nothing has to be put right") {
    CHECK(line_of(person("a")).falls_out_if.empty());
}

TEST_CASE("little news of late is said as such, not as a quiet that has just begun") {
    TriageFacts less = person("a");
    less.active_days_recent = 1;
    less.days_since_active = 3;
    const TriageLine line = line_of(less);
    REQUIRE(line.reasons.size() == 1);
    CHECK(line.reasons[0].sentence == "News on 1 day of the last 21, less than is usual for this person.");
    CHECK(line_of(silent("b")).reasons.at(0).sentence == "Quiet for 30 days, which is unusual for this person.");
}
