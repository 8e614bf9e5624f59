// The score against a second writing of it, and whether it finds those who are about to drop off. Own formula, not
// outside: the program that gave the values was written apart from this one, and the clubs are our own simulation.
#include "node/domain/review/triage.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <string>

#include "tests/support/domain/check_data.hpp"

using namespace ladderline;
using namespace ladderline::domain;
using ladderline::test::rounds_to;

namespace {

constexpr std::size_t list_length = 10;

struct ScoreRow {
    const char* name;
    double waiting_days;
    int active_recent;
    int active_before;
    int days_before;
    double since;
    int in_club;
    double reached_share;
    double parts[triage_parts];
    double score;
};

TriageFacts facts_of(const ScoreRow& row) {
    TriageFacts out;
    out.waiting_days = row.waiting_days;
    out.active_days_recent = row.active_recent;
    out.active_days_before = row.active_before;
    out.days_before = row.days_before;
    out.days_since_active = row.since;
    out.days_in_club = row.in_club;
    return out;
}

// One person at one review of a simulated club; `in_need` is truth, for marking only.
struct Reviewed {
    TriageFacts facts;
    bool in_need = false;
};

using Reviews = std::map<std::pair<int, int>, std::vector<Reviewed>>;  // by club and day

std::string padded(const std::string& number) {
    return std::string(6 - number.size(), '0') + number;
}

std::optional<std::vector<SurvivalCurve>> read_curves() {
    const auto text = test::check_file("vectors/triage_history.csv");
    if (!text) return {};
    std::vector<std::vector<Wait>> waits(6);
    for (const auto& row : test::rows_of(*text)) {
        waits.at(std::stoul(row[0])).push_back({std::stod(row[1]), row[2] == "1"});
    }
    std::vector<SurvivalCurve> out;
    for (const auto& of_stage : waits) out.push_back(SurvivalCurve::of(of_stage));
    return out;
}

// club,review_day,person,stage,days_in_stage,waiting,active21,days_before,active_before,since,in_club,no_mentor,
// in_need,already_gone
Reviews read_reviews() {
    Reviews out;
    for (const auto& row : test::rows_of(test::check_file("vectors/triage_reviews.csv").value())) {
        Reviewed person;
        person.facts.id = padded(row[2]);
        person.facts.stage = std::stoul(row[3]);
        person.facts.days_in_stage = std::stod(row[4]);
        person.facts.waiting_days = std::stod(row[5]);
        person.facts.active_days_recent = std::stoi(row[6]);
        person.facts.days_before = std::stoi(row[7]);
        person.facts.active_days_before = std::stoi(row[8]);
        person.facts.days_since_active = std::stod(row[9]);
        person.facts.days_in_club = std::stoi(row[10]);
        person.facts.without_mentor = row[11] == "1";
        person.in_need = row[12] == "1";
        out[{std::stoi(row[0]), std::stoi(row[1])}].push_back(person);
    }
    return out;
}

struct Marks {
    std::size_t listed = 0, in_need = 0, found = 0;
    std::size_t seldom = 0, seldom_listed = 0, others = 0, others_listed = 0;  // among those not in need

    double recall() const { return static_cast<double>(found) / static_cast<double>(in_need); }
    double precision() const { return static_cast<double>(found) / static_cast<double>(listed); }
    double wrong_seldom() const { return static_cast<double>(seldom_listed) / static_cast<double>(seldom); }
    double wrong_others() const { return static_cast<double>(others_listed) / static_cast<double>(others); }
};

void mark(Marks& marks, const Reviewed& person, bool is_listed) {
    const TriageFacts& f = person.facts;
    const double habit = static_cast<double>(f.active_days_recent + f.active_days_before) / f.days_in_club;
    marks.listed += is_listed;
    if (person.in_need) {
        ++marks.in_need;
        marks.found += is_listed;
    } else if (habit < 0.15) {
        ++marks.seldom;
        marks.seldom_listed += is_listed;
    } else {
        ++marks.others;
        marks.others_listed += is_listed;
    }
}

Marks mark_all(const Reviews& reviews, const std::vector<SurvivalCurve>& curves) {
    Marks out;
    for (const auto& [review, people] : reviews) {
        std::vector<TriageFacts> facts;
        std::map<std::string, const Reviewed*> by_id;
        for (const Reviewed& person : people) {
            facts.push_back(person.facts);
            by_id[person.facts.id] = &person;
        }
        const TriageList list = triage(facts, curves, Day{});
        for (std::size_t k = 0; k < list.lines.size(); ++k) mark(out, *by_id.at(list.lines[k].id), k < list_length);
    }
    return out;
}

}  // namespace

TEST_CASE("the parts and the score of four people are those of a second writing") {
    // Computed from the facts beside them; common habit 0.2486187845.
    static constexpr double common_habit = 0.24861878453038674;  // 45/181, prints as 0.2486187845
    static constexpr ScoreRow rows[] = {
        {"27 days in stage 2", 0, 3, 12, 60, 4, 81, 0.5464013422, {2.5778523470, 0, 9.1210583291, 0}, 11.6989106762},
        {"4 days in stage 0", 0, 3, 0, 0, 0, 4, 0, {0, 0, 0.1635327886, 0}, 0.1635327886},
        {"55 days in stage 2", 50, 9, 15, 64, 0, 85, 0.9023241059, {22.3513392178, 25, 0.2787097142, 0}, 47.6300489320},
        {"3 days in stage 1", 0, 2, 0, 6, 17, 27, 0, {0, 0, 28.2392927034, 0}, 28.2392927034},
    };
    for (const ScoreRow& row : rows) {
        CAPTURE(row.name);
        const auto parts = score_parts(facts_of(row), row.reached_share, common_habit, Day{});
        double score = 0;
        for (std::size_t k = 0; k < triage_parts; ++k) {
            CHECK(std::fabs(parts[k] - row.parts[k]) <= 1e-8);  // u is typed in with ten digits
            score += parts[k];
        }
        CHECK(std::fabs(score - row.score) <= 1e-8);
    }
}

TEST_CASE("one review from the records of 25 simulated clubs gives the same shares and scores") {
    const auto curves = read_curves();
    if (!curves) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; the simulated clubs were not looked at.");
        return;
    }
    struct Expected {
        const char* person;
        double reached_share;
        double score;
    };
    // The same program, from the same files.
    static constexpr Expected expected[] = {{"000001", 0.5464013422, 11.6989106762},
                                            {"000005", 0, 0.1635327886},
                                            {"000007", 0.9023241059, 47.6300489320},
                                            {"000008", 0, 28.2392927034}};
    std::vector<TriageFacts> facts;
    const Reviews reviews = read_reviews();
    for (const Reviewed& person : reviews.at({0, 100})) facts.push_back(person.facts);
    const TriageList list = triage(facts, *curves, Day{});
    CHECK(rounds_to(list.common_habit, 0.2486187845, 10));
    for (const Expected& row : expected) {
        CAPTURE(row.person);
        const auto line = std::find_if(list.lines.begin(), list.lines.end(),
                                       [&](const TriageLine& candidate) { return candidate.id == row.person; });
        REQUIRE(line != list.lines.end());
        CHECK(rounds_to(line->reached_share, row.reached_share, 10));
        CHECK(rounds_to(line->score, row.score, 10));
    }
}

TEST_CASE("the first ten of each list hold 902 of the 1902 who are about to drop off") {
    const auto curves = read_curves();
    if (!curves) {
        MESSAGE("LADDERLINE_CHECK_DATA is not set; the simulated clubs were not looked at.");
        return;
    }
    // Goals computed from the same records by the same program.
    const Marks marks = mark_all(read_reviews(), *curves);
    CHECK(marks.found == 902);
    CHECK(marks.in_need == 1902);
    CHECK(rounds_to(marks.recall(), 0.4742, 4));
    CHECK(rounds_to(marks.precision(), 0.3280, 4));
    CHECK(rounds_to(marks.wrong_seldom(), 0.2656, 4));
    CHECK(rounds_to(marks.wrong_others(), 0.1074, 4));
}
