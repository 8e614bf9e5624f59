#pragma once
// Who needs help: a score of 0 to 100 from four parts, each with one plain sentence, and nothing else. Not age, sex,
// language, distance, paid dues, nor how often somebody logs in as such: silence is measured against the person's own
// habit.
//
//   overdue         25 clip((u - 0.5) / 0.45)                 u = share of all who had left the stage by now
//   waiting on us   25 clip(w / 10)                           w = days the oldest open question has waited
//   silence         40 clip(max(-log10 p1, -log10 p2) / 2)    p1, p2: how unlikely the quiet is for this person
//   no mentor       10
//
// The score is compared inside one list and says nothing about a person's worth. Hard dates are pinned beside it and
// never summed into it.

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "node/domain/review/survival.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Days before "now" in which recent activity is counted.
inline constexpr int recent_days = 21;
inline constexpr int hush_after_answer_days = 14;

struct TriageFacts {
    std::string id;              // ties are settled by it
    std::size_t stage = 0;       // index into the curves
    double days_in_stage = 0;    // >= 0
    double waiting_days = 0;     // oldest open question to mentor or club; 0 if there is none
    int active_days_recent = 0;  // of the last 21 days
    int active_days_before = 0;  // A: before the last 21 days
    int days_before = 0;         // D: days in the club before the last 21
    double days_since_active = 0;
    int days_in_club = 0;
    bool without_mentor = false;          // none paired, or the paired one pauses
    std::optional<Day> on_leave_until;    // told so; counts until that day
    std::optional<Day> asked_is_fine_on;  // answered "asked, is fine"; counts for 14 days
};

enum class TriagePart : std::uint8_t { overdue, waiting, silence, no_mentor };
inline constexpr std::size_t triage_parts = 4;

struct TriageReason {
    TriagePart part = TriagePart::overdue;
    int points = 0;        // as shown
    std::string sentence;  // for the line of the list
};

struct TriageLine {
    std::string id;
    double days_in_stage = 0;
    std::array<double, triage_parts> parts{};     // by TriagePart, exact
    double score = 0;                             // their sum, 0 to 100
    std::array<int, triage_parts> shown_parts{};  // whole points; they add up to the score to the nearest
    double reached_share = 0;                     // u
    std::vector<TriageReason> reasons;  // shown parts of at least 5 points, largest first; empty under a score of 10
    // What alone would be enough for nothing to stand out any more, as the end of "Would fall out of the list if ...";
    // in the order of TriagePart. Empty where it takes more than one thing, or where nothing stands out.
    std::vector<std::string> falls_out_if;
};

struct TriageList {
    double common_habit = 0;        // lambda 0: active days a day, over everybody on the list
    std::vector<TriageLine> lines;  // most in need first
};

// The four parts of one person's score by TriagePart, from u (0 to 1) and the common habit (active days a day, >= 0).
std::array<double, triage_parts> score_parts(const TriageFacts& person, double reached_share, double common_habit,
                                             Day today);

// Curves by stage: the time people took to leave each stage. A stage without a curve gives u = 0. Everybody given is on
// the list. O(n log n).
TriageList triage(std::span<const TriageFacts> people, std::span<const SurvivalCurve> curves, Day today);

// Whom triage() would give any reasons, in the order given; no texts are made. O(n log n).
std::vector<bool> standing_out(std::span<const TriageFacts> people, std::span<const SurvivalCurve> curves, Day today);

// "Nothing stands out." or the sentences of the reasons in one line.
std::string to_text(const TriageLine& line);

// Rounds non-negative parts to whole numbers that add up to the rounded sum: each is rounded down, and the points that
// are left go to the largest remainders, ties to the earlier part.
std::array<int, triage_parts> whole_parts(const std::array<double, triage_parts>& parts);

}  // namespace ladderline::domain
