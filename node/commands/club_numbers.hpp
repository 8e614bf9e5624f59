#pragma once
// How long people take in this club, and where it loses them: counts and curves, no names. Officers only. From the rows
// of those whose consent stands, members who left among them; groups below five are not shown.

#include "node/commands/context.hpp"
#include "node/domain/review/cohorts.hpp"
#include "node/domain/review/outcomes.hpp"

namespace ladderline::node {

// People who began within one span of time.
struct Cohort {
    std::string title;  // "2026", "all"
    int persons = 0;    // five or more, else nothing below is filled
    int reached = 0;
    int left = 0;
    domain::SurvivalCurve curve;     // waiting, for drawing; those who left count as open at that day
    domain::OutcomeCurves outcomes;  // reached and left, which are shares of all who began
    domain::Quantile median;         // days
    std::vector<double> days;        // of everybody, ascending

    // How many were still waiting, and looked at, after so many days.
    int at_risk(double after) const;
    // Whether a share may be said of so many days: somebody was followed that long, or nobody is still on the way.
    bool is_followed(double after) const;
};

struct WaitCurve {
    std::string title;       // "From the club's list to past the examination"
    std::string definition;  // what counts as begun and as reached, in a sentence
    Cohort all;
    std::vector<Cohort> years;  // by year of beginning, newest first, at most three; empty ones left out
    std::string comparison;     // this year against last, in words; empty where either is too small
    std::vector<std::string> sentences;
};

struct StageLoss {
    std::string stage;  // "05"
    int came = 0;       // people who were ever at it
    int went_on = 0;
    int left = 0;   // of the club
    int quiet = 0;  // still there, nothing new for 90 days, not resting
};

struct ClubNumbers {
    std::string club;
    std::vector<WaitCurve> milestones;
    std::vector<StageLoss> stages;  // those to which five or more came, in order
    std::optional<WallTime> as_of;
    int known = 0;  // people whose rows may be read, those who left among them
    int unknown = 0;
};
Result<ClubNumbers> club_numbers(Context& context);

// "half of them within 43 days (95 % limits 20 to 70)", or why there is no such day.
std::string median_words(const Cohort& cohort);

// The year that ends today, on one page.
struct AnnualReport {
    std::string club;
    Day from;
    Day to;
    std::vector<std::string> sentences;
    std::optional<WallTime> as_of;
};
Result<AnnualReport> annual_report(Context& context);

}  // namespace ladderline::node
