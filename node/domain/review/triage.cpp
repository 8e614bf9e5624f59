#include "node/domain/review/triage.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ladderline::domain {
namespace {

constexpr double overdue_points = 25;
constexpr double waiting_points = 25;
constexpr double silence_points = 40;
constexpr double no_mentor_points = 10;
constexpr double overdue_from = 0.5;  // u at which it begins to count
constexpr double overdue_range = 0.45;
constexpr double waiting_full_days = 10;
constexpr double silence_full_decades = 2;  // a quiet that happens once in a hundred counts in full
constexpr double habit_prior_days = 20;     // how many days of the common habit each person starts with
constexpr double chance_min = 1e-9;
constexpr double same_score = 1e-9;
constexpr int reason_points_min = 5;
constexpr int stands_out_points_min = 10;

double clip(double x) {
    return std::clamp(x, 0.0, 1.0);
}

std::size_t at(TriagePart part) {
    return static_cast<std::size_t>(part);
}

// P(Poisson(mean) <= count); mean is at most 21, so the first term does not vanish.
double poisson_at_most(int count, double mean) {
    double term = std::exp(-mean);
    double sum = term;
    for (int k = 1; k <= count; ++k) {
        term *= mean / k;
        sum += term;
    }
    return std::min(sum, 1.0);
}

double habit_of_all(std::span<const TriageFacts> people) {
    double active = 0;
    double days = 0;
    for (const TriageFacts& person : people) {
        active += person.active_days_recent + person.active_days_before;
        days += person.days_in_club;
    }
    return days > 0 ? active / days : 0.0;
}

// How likely so little would be with this person's habit.
struct Quiet {
    double recent = 1;  // p1: on so few of the last days
    double since = 1;   // p2: nothing for so long
};
Quiet quiet_of(const TriageFacts& person, double common) {
    const double habit =
        (person.active_days_before + habit_prior_days * common) / (person.days_before + habit_prior_days);
    const double expected = habit * std::clamp(person.days_in_club, 0, recent_days);
    return {std::max(poisson_at_most(person.active_days_recent, expected), chance_min),
            std::max(std::exp(-habit * person.days_since_active), chance_min)};
}

double silence_of(const TriageFacts& person, double common) {
    const Quiet quiet = quiet_of(person, common);
    return silence_points * clip(std::max(-std::log10(quiet.recent), -std::log10(quiet.since)) / silence_full_decades);
}

// Quiet that was said, or asked about lately, gets no points.
bool is_hushed(const TriageFacts& person, Day today) {
    if (person.on_leave_until && today < *person.on_leave_until) return true;
    return person.asked_is_fine_on && today < *person.asked_is_fine_on + hush_after_answer_days;
}

std::string days_text(double days) {
    const auto whole = static_cast<long>(std::lround(days));
    return std::to_string(whole) + (whole == 1 ? " day" : " days");
}

// What makes the quiet unusual: that it lasts, or that there was little of late.
std::string silence_words(const TriageFacts& person, double common) {
    const Quiet quiet = quiet_of(person, common);
    if (person.active_days_recent == 0 || quiet.since <= quiet.recent) {
        return "Quiet for " + days_text(person.days_since_active) + ", which is unusual for this person.";
    }
    return "News on " + days_text(person.active_days_recent) + " of the last " + std::to_string(recent_days) +
           ", less than is usual for this person.";
}

std::string sentence_for(TriagePart part, const TriageFacts& person, double reached_share, double common) {
    switch (part) {
        case TriagePart::overdue:
            return "In this stage for " + days_text(person.days_in_stage) + "; " +
                   std::to_string(std::lround(100 * reached_share)) + " % of those who started had moved on by now.";
        case TriagePart::waiting:
            return "A question has waited " + days_text(person.waiting_days) + " for an answer from us.";
        case TriagePart::silence:
            return silence_words(person, common);
        case TriagePart::no_mentor:
            return "Has no mentor at present.";
    }
    return {};
}

// Parts of a list's line that are large enough to be named; none where too little stands out over all.
bool is_named(const std::array<int, triage_parts>& shown_parts, std::size_t part) {
    const int all = std::accumulate(shown_parts.begin(), shown_parts.end(), 0);
    return all >= stands_out_points_min && shown_parts[part] >= reason_points_min;
}

std::vector<TriageReason> reasons_for(const TriageLine& line, const TriageFacts& person, double common) {
    std::vector<TriageReason> out;
    for (std::size_t k = 0; k < triage_parts; ++k) {
        const auto part = static_cast<TriagePart>(k);
        if (!is_named(line.shown_parts, k)) continue;
        out.push_back({part, line.shown_parts[k], sentence_for(part, person, line.reached_share, common)});
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const TriageReason& a, const TriageReason& b) { return a.points > b.points; });
    return out;
}

double sum(const std::array<double, triage_parts>& parts) {
    return std::accumulate(parts.begin(), parts.end(), 0.0);
}

// The same facts with one thing put right today.
TriageFacts put_right(TriageFacts person, TriagePart part, double& reached_share) {
    switch (part) {
        case TriagePart::overdue:
            reached_share = 0;  // a stage begins with nobody ahead
            break;
        case TriagePart::waiting:
            person.waiting_days = 0;
            break;
        case TriagePart::silence:
            person.active_days_recent += 1;
            person.days_since_active = 0;
            break;
        case TriagePart::no_mentor:
            person.without_mentor = false;
            break;
    }
    return person;
}

std::vector<std::string> ways_off_the_list(const TriageLine& line, const TriageFacts& person, double common,
                                           Day today) {
    constexpr std::array<const char*, triage_parts> words{"the next stage were reached", "the question were answered",
                                                          "there were any news of them", "they had a mentor"};
    std::vector<std::string> out;
    if (line.reasons.empty()) return out;
    for (std::size_t k = 0; k < triage_parts; ++k) {
        if (line.parts[k] <= 0) continue;
        double reached_share = line.reached_share;
        const TriageFacts changed = put_right(person, static_cast<TriagePart>(k), reached_share);
        const auto score = std::lround(sum(score_parts(changed, reached_share, common, today)));
        if (score < stands_out_points_min) out.emplace_back(words[k]);
    }
    return out;
}

double reached_share_of(const TriageFacts& person, std::span<const SurvivalCurve> curves) {
    return person.stage < curves.size() ? curves[person.stage].reached_by(person.days_in_stage) : 0.0;
}

TriageLine line_for(const TriageFacts& person, std::span<const SurvivalCurve> curves, double common, Day today) {
    TriageLine line;
    line.id = person.id;
    line.days_in_stage = person.days_in_stage;
    line.reached_share = reached_share_of(person, curves);
    line.parts = score_parts(person, line.reached_share, common, today);
    line.score = sum(line.parts);
    line.shown_parts = whole_parts(line.parts);
    line.reasons = reasons_for(line, person, common);
    line.falls_out_if = ways_off_the_list(line, person, common, today);
    return line;
}

// Scores that differ by rounding only count as equal. Comparing whole multiples of the tolerance keeps the order
// strict.
bool more_in_need(const TriageLine& a, const TriageLine& b) {
    const auto level = [](double score) { return std::llround(score / same_score); };
    if (level(a.score) != level(b.score)) return a.score > b.score;
    if (a.days_in_stage != b.days_in_stage) return a.days_in_stage > b.days_in_stage;
    return a.id < b.id;
}

}  // namespace

std::array<double, triage_parts> score_parts(const TriageFacts& person, double reached_share, double common_habit,
                                             Day today) {
    std::array<double, triage_parts> out{};
    out[at(TriagePart::overdue)] = overdue_points * clip((reached_share - overdue_from) / overdue_range);
    out[at(TriagePart::waiting)] = waiting_points * clip(person.waiting_days / waiting_full_days);
    if (!is_hushed(person, today)) out[at(TriagePart::silence)] = silence_of(person, common_habit);
    out[at(TriagePart::no_mentor)] = person.without_mentor ? no_mentor_points : 0.0;
    return out;
}

std::array<int, triage_parts> whole_parts(const std::array<double, triage_parts>& parts) {
    std::array<int, triage_parts> out{};
    std::array<std::size_t, triage_parts> order{};
    for (std::size_t k = 0; k < triage_parts; ++k) {
        out[k] = static_cast<int>(std::floor(parts[k]));
        order[k] = k;
    }
    const auto remainder = [&](std::size_t k) { return parts[k] - std::floor(parts[k]); };
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return remainder(a) > remainder(b); });
    const int left = static_cast<int>(std::lround(sum(parts))) - std::accumulate(out.begin(), out.end(), 0);
    for (int k = 0; k < left; ++k) ++out[order[static_cast<std::size_t>(k)]];
    return out;
}

TriageList triage(std::span<const TriageFacts> people, std::span<const SurvivalCurve> curves, Day today) {
    TriageList out;
    out.common_habit = habit_of_all(people);
    out.lines.reserve(people.size());
    for (const TriageFacts& person : people) out.lines.push_back(line_for(person, curves, out.common_habit, today));
    std::sort(out.lines.begin(), out.lines.end(), more_in_need);
    return out;
}

std::vector<bool> standing_out(std::span<const TriageFacts> people, std::span<const SurvivalCurve> curves, Day today) {
    const double common = habit_of_all(people);
    std::vector<bool> out;
    out.reserve(people.size());
    for (const TriageFacts& person : people) {
        const auto parts = whole_parts(score_parts(person, reached_share_of(person, curves), common, today));
        bool any = false;
        for (std::size_t k = 0; k < triage_parts; ++k) any = any || is_named(parts, k);
        out.push_back(any);
    }
    return out;
}

std::string to_text(const TriageLine& line) {
    if (line.reasons.empty()) return "Nothing stands out.";
    std::string out;
    for (const TriageReason& reason : line.reasons) {
        if (!out.empty()) out += ' ';
        out += reason.sentence;
    }
    return out;
}

}  // namespace ladderline::domain
