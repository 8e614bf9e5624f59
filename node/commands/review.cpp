#include "node/commands/review.hpp"

#include <algorithm>
#include <set>

#include "node/commands/checks.hpp"
#include "node/commands/review_questions.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/domain/review/hard_dates.hpp"
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
domain::TriageFacts triage_facts(const ClubPeople& people, const ClubNewcomer& newcomer, Day today,
                                 const std::optional<Day>& asked) {
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
    out.asked_is_fine_on = asked;
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
    line.falls_out_if = triage.falls_out_if;
    return line;
}

// Lines of those who are to be looked at, and who was asked lately.
Result<void> fill_lists(Context& context, const ClubPeople& people, Review& out) {
    const Day today = context.today();
    TRY(const auto all_checks, checks(context, people.club.id));
    std::vector<domain::TriageFacts> facts;
    std::map<std::string, const ClubNewcomer*> by_id;
    std::set<std::string> left_in_peace;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        const auto asked = asked_lately(all_checks, newcomer.person.id, newcomer.row->row, today);
        facts.push_back(triage_facts(people, newcomer, today, asked));
        by_id[facts.back().id] = &newcomer;
        if (!asked) continue;
        left_in_peace.insert(facts.back().id);
        out.asked.push_back(
            {newcomer.person.id, newcomer.person.name, *asked, *asked + domain::hush_after_answer_days});
    }
    for (const domain::TriageLine& line : domain::triage(facts, stage_curves(people, today), today).lines) {
        if (!left_in_peace.contains(line.id)) out.lines.push_back(line_of(people, *by_id.at(line.id), line));
    }
    return ok();
}

void pin_consents(const ClubPeople& people, Day today, std::vector<ReviewPin>& out) {
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        const Day until = newcomer.row->row.consent_until;
        const std::int32_t left = days_between(today, until);
        if (left > domain::shipped_clocks().consent_ahead_days) continue;
        out.push_back({newcomer.person.id, newcomer.person.name, until, left,
                       "The consent to be in the club's list ends on " + to_iso(until) +
                           "; ask whether it goes on, after that day the row is not read any more."});
    }
}

domain::HardDateFacts hard_facts(const WayView& way) {
    domain::HardDateFacts out;
    out.id = to_hex(way.owner.id.view());
    const bool licensed = way.dates.grant || way.dates.licensed_at_exam;
    if (licensed) return out;
    out.certificate_exam_day = way.dates.exam_passed;
    if (!way.dates.fee_paid) out.fee_due_since = way.dates.fee_notice;
    return out;
}

// What the paths that this node shares say of members of the club. How long grants take in this club is in no row, and
// nobody shares a chance to pass, so neither is pinned.
Result<void> pin_paths(Context& context, const ClubPeople& people, std::vector<ReviewPin>& out) {
    constexpr std::int32_t past_days_max = 30;  // by then everybody who helps has seen it
    TRY(const auto ways, ways_of_others(context));
    const Day today = context.today();
    for (const WayView& way : ways) {
        if (!people.all.contains(way.owner.id)) continue;
        const std::vector<domain::HardDateFacts> facts{hard_facts(way)};
        for (const domain::Pin& pin : domain::hard_dates(facts, std::nullopt, today)) {
            if (pin.days_left >= -past_days_max)
                out.push_back({way.owner.id, way.owner.name, pin.day, pin.days_left, pin.sentence});
        }
        const auto& consent = way.group.consent_until;
        if (!way.owner.is_minor || !consent) continue;
        const std::int32_t left = days_between(today, *consent);
        if (left > domain::shipped_clocks().consent_ahead_days || left < -past_days_max) continue;
        out.push_back({way.owner.id, way.owner.name, *consent, left,
                       "The guardian's consent ends on " + to_iso(*consent) +
                           "; after it nobody but the household gets "
                           "a new key of the path."});
    }
    return ok();
}

// Nearest first.
Result<std::vector<ReviewPin>> pins_of(Context& context, const ClubPeople& people) {
    std::vector<ReviewPin> out;
    pin_consents(people, context.today(), out);
    TRY(pin_paths(context, people, out));
    std::stable_sort(out.begin(), out.end(), [](const ReviewPin& a, const ReviewPin& b) { return a.day < b.day; });
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

OnTheAir on_the_air(const ClubPeople& people, Day today) {
    OnTheAir out;
    out.unknown = unknown_newcomers(people);
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        out.of += 1;
        const auto& contact = newcomer.row->row.last_contact;
        if (contact && days_between(*contact, today) < out.days) out.on_air += 1;
    }
    out.sentence = "On the air means: a contact in the last " + std::to_string(out.days) + " days. That is so for " +
                   domain::fewer_than_five(out.on_air) + " of " + domain::fewer_than_five(out.of) +
                   " newcomers whose row is known";
    out.sentence += out.unknown == 0 ? "." : "; of " + domain::fewer_than_five(out.unknown) + " more nothing is known.";
    return out;
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
    TRY(fill_lists(context, people, out));
    TRY(out.pinned, pins_of(context, people));
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.row && !newcomer.mentor && !newcomer.is_resting)
            out.without_mentor.push_back(newcomer.person.name);
    }
    out.with_room = mentors_with_room(people);
    out.over_five = mentors_over_five(people);
    out.on_air = on_the_air(people, today);
    return out;
}

}  // namespace ladderline::node
