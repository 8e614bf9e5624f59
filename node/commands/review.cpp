#include "node/commands/review.hpp"

#include <algorithm>

#include "node/commands/review_questions.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/domain/review/small_counts.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t stages_max = 100;
// A stage has a yardstick once so many people have left it; fewer would make one person's pace everybody's.
constexpr std::size_t finished_waits_min = 5;
constexpr std::int32_t carried_max = 5;

// Stages left for a later one are finished waits; the present one, or one that was gone back from, is still open.
void add_waits(std::vector<std::vector<domain::Wait>>& waits, const ClubNewcomer& newcomer, Day today) {
    const std::vector<StageRun>& runs = newcomer.story.runs;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const auto stage = stage_of(runs[i]);
        if (!stage) continue;
        const bool is_last = i + 1 == runs.size();
        const auto next = is_last ? std::nullopt : stage_of(runs[i + 1]);
        const bool is_finished = !is_last && (!next || *next > *stage);
        const Day end = is_last ? today : runs[i + 1].since_first.value_or(runs[i + 1].said);
        waits[*stage].push_back({static_cast<double>(std::max(0, days_between(runs[i].began(), end))), is_finished});
    }
}

std::vector<domain::SurvivalCurve> stage_curves(const ClubPeople& people, Day today) {
    std::vector<std::vector<domain::Wait>> waits(stages_max);
    for (const ClubNewcomer& newcomer : people.newcomers) add_waits(waits, newcomer, today);
    std::vector<domain::SurvivalCurve> out(stages_max);
    for (std::size_t stage = 0; stage < stages_max; ++stage) {
        const auto finished = std::count_if(waits[stage].begin(), waits[stage].end(),
                                            [](const domain::Wait& wait) { return wait.reached; });
        if (static_cast<std::size_t>(finished) >= finished_waits_min)
            out[stage] = domain::SurvivalCurve::of(waits[stage]);
    }
    return out;
}

bool is_without_mentor(const ClubPeople& people, const ClubNewcomer& newcomer) {
    if (!newcomer.mentor) return true;
    const auto mentor = people.all.find(*newcomer.mentor);
    return mentor != people.all.end() && mentor->second.card && mentor->second.card->resting;
}

// Precondition: newcomer.row.
domain::TriageFacts triage_facts(const ClubPeople& people, const ClubNewcomer& newcomer, Day today) {
    const ClubRowBody& row = newcomer.row->row;
    const RowStory& story = newcomer.story;
    domain::TriageFacts out;
    out.id = to_hex(newcomer.person.id.view());
    out.stage = stage_of(row).value_or(stages_max);
    out.days_in_stage = std::max(0, days_between(story.runs.back().began(), today));
    if (row.help_since) out.waiting_days = std::max(0, days_between(*row.help_since, today));
    out.active_days_recent = story.recent_days(today, domain::recent_days).value_or(domain::recent_days);
    out.active_days_before = static_cast<int>(story.days) - out.active_days_recent;
    out.days_in_club = std::max(0, days_between(utc_day(story.first_said), today));
    out.days_before = std::max(0, out.days_in_club - domain::recent_days);
    out.days_since_active = std::max(0, days_between(utc_day(story.last_said), today));
    out.without_mentor = is_without_mentor(people, newcomer);
    if (newcomer.is_resting) out.on_leave_until = today + 1;
    return out;
}

ReviewLine line_of(const ClubPeople& people, const ClubNewcomer& newcomer, const domain::TriageLine& triage) {
    ReviewLine line;
    line.person = newcomer.person.id;
    line.name = newcomer.person.name;
    line.call_sign = newcomer.row->row.call_sign;
    line.stage = newcomer.row->row.stage;
    if (newcomer.mentor) line.mentor_name = people.name_of(*newcomer.mentor);
    line.resting = newcomer.is_resting;
    for (const domain::TriageReason& reason : triage.reasons) line.reasons.push_back(reason.sentence);
    return line;
}

std::vector<ReviewLine> lines_of(const ClubPeople& people, Day today) {
    std::vector<domain::TriageFacts> facts;
    std::map<std::string, const ClubNewcomer*> by_id;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        facts.push_back(triage_facts(people, newcomer, today));
        by_id[facts.back().id] = &newcomer;
    }
    std::vector<ReviewLine> out;
    for (const domain::TriageLine& line : domain::triage(facts, stage_curves(people, today), today).lines) {
        out.push_back(line_of(people, *by_id.at(line.id), line));
    }
    return out;
}

std::vector<ReviewPin> pins_of(const ClubPeople& people, Day today) {
    std::vector<ReviewPin> out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        const Day until = newcomer.row->row.consent_until;
        const std::int32_t left = days_between(today, until);
        if (left > domain::shipped_clocks().consent_ahead_days) continue;
        out.push_back({newcomer.person.id, newcomer.person.name, until, left,
                       "The consent to be in the club's list ends on " + to_iso(until) +
                           "; ask whether it goes on, after that day the row is not read any more."});
    }
    std::stable_sort(out.begin(), out.end(), [](const ReviewPin& a, const ReviewPin& b) { return a.day < b.day; });
    return out;
}

OnTheAir on_the_air(const ClubPeople& people, int unknown, Day today) {
    OnTheAir out;
    out.unknown = unknown;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        out.of += 1;
        const auto& contact = newcomer.row->row.last_contact;
        if (contact && days_between(*contact, today) < out.days) out.on_air += 1;
    }
    out.sentence = "On the air means: a contact in the last " + std::to_string(out.days) + " days. That is so for " +
                   domain::fewer_than_five(out.on_air) + " of " + domain::fewer_than_five(out.of) +
                   " newcomers whose row is known";
    out.sentence += unknown == 0 ? "." : "; of " + domain::fewer_than_five(unknown) + " more nothing is known.";
    return out;
}

}  // namespace

std::optional<std::size_t> stage_number(const std::string& stage) {
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    if (stage.size() != 2 || !is_digit(stage[0]) || !is_digit(stage[1])) return std::nullopt;
    return static_cast<std::size_t>((stage[0] - '0') * 10 + (stage[1] - '0'));
}
std::optional<std::size_t> stage_of(const ClubRowBody& row) {
    return stage_number(row.stage);
}
std::optional<std::size_t> stage_of(const StageRun& run) {
    return stage_number(run.stage);
}

MentorLine mentor_line(const ClubPeople& people, const PersonView& mentor) {
    MentorLine line{mentor.id, mentor.name, free_places_of(people, mentor), 0, {}, {}, {}};
    if (const auto carried = people.carries.find(mentor.id); carried != people.carries.end())
        line.carries = carried->second;
    if (mentor.card) {
        line.topics = mentor.card->topics;
        line.bands = mentor.card->bands;
        line.locator = mentor.card->locator;
    }
    return line;
}

std::vector<MentorLine> mentors_with_room(const ClubPeople& people) {
    std::vector<MentorLine> out;
    for (const PersonView* mentor : mentors_of(people)) {
        if (free_places_of(people, *mentor) > 0) out.push_back(mentor_line(people, *mentor));
    }
    return out;
}

std::vector<MentorLine> mentors_over_five(const ClubPeople& people) {
    std::vector<MentorLine> out;
    for (const auto& [mentor, carried] : people.carries) {
        const auto person = people.all.find(mentor);
        if (carried > carried_max && person != people.all.end()) out.push_back(mentor_line(people, person->second));
    }
    return out;
}

std::optional<WallTime> oldest_news(const ClubPeople& people) {
    std::optional<WallTime> out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.row) out = std::min(out.value_or(newcomer.row->said), newcomer.row->said);
    }
    return out;
}

int unknown_newcomers(const ClubPeople& people) {
    return static_cast<int>(std::count_if(people.newcomers.begin(), people.newcomers.end(),
                                          [](const ClubNewcomer& newcomer) { return !newcomer.row; }));
}

Result<Review> review(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    const Day today = context.today();
    Review out;
    out.club = people.club.name;
    out.as_of = oldest_news(people);
    out.as_of_sentence = out.as_of ? "As of " + to_iso_minute(*out.as_of) + ", the oldest news in this review."
                                   : "No newcomer shares a row with the club yet.";
    out.unknown = unknown_newcomers(people);
    out.consenting = static_cast<int>(people.newcomers.size()) - out.unknown;
    out.lines = lines_of(people, today);
    out.pinned = pins_of(people, today);
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.row && !newcomer.mentor && !newcomer.is_resting)
            out.without_mentor.push_back(newcomer.person.name);
    }
    out.with_room = mentors_with_room(people);
    out.over_five = mentors_over_five(people);
    out.on_air = on_the_air(people, out.unknown, today);
    return out;
}

}  // namespace ladderline::node
