#include "node/commands/review.hpp"

#include <algorithm>
#include <set>

#include "node/commands/checks.hpp"
#include "node/commands/review_questions.hpp"
#include "node/domain/licence/term.hpp"
#include "node/domain/review/hard_dates.hpp"
#include "node/domain/review/small_counts.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int32_t carried_max = 5;

bool is_without_mentor(const ClubPeople& people, const ClubNewcomer& newcomer) {
    if (!newcomer.mentor) return true;
    const auto mentor = people.all.find(*newcomer.mentor);
    return mentor != people.all.end() && mentor->second.card && mentor->second.card->resting;
}

// Precondition: newcomer.row.
domain::TriageFacts facts_of(const ClubPeople& people, const ClubNewcomer& newcomer, Day today,
                             const std::optional<Day>& asked) {
    domain::TriageFacts out = triage_facts(newcomer.person.id, newcomer.row->row, newcomer.story, today);
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
    StageWaits waits;
    for (const ClubNewcomer& newcomer : people.newcomers) waits.add(newcomer.story, today);
    std::vector<domain::TriageFacts> facts;
    std::map<std::string, const ClubNewcomer*> by_id;
    std::set<std::string> left_in_peace;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        const RowWrite& row = *newcomer.row;
        const auto asked = asked_lately(all_checks, newcomer.person.id, row.row, row.said, today);
        facts.push_back(facts_of(people, newcomer, today, asked));
        by_id[facts.back().id] = &newcomer;
        if (!asked) continue;
        left_in_peace.insert(facts.back().id);
        out.asked.push_back(
            {newcomer.person.id, newcomer.person.name, *asked, *asked + domain::hush_after_answer_days});
    }
    for (const domain::TriageLine& line : domain::triage(facts, waits.curves(), today).lines) {
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
    const bool is_upgrade = way.dates.licensed_at_exam;
    // A grant of before the pass, whose licence lapsed, has used nothing of this certificate.
    const bool is_granted = way.dates.grant && !domain::first_licence_pending(way.dates, domain::shipped_clocks());
    const bool is_used = is_upgrade ? way.dates.class_visible.has_value() : is_granted;
    if (is_used) return out;
    out.certificate_exam_day = way.dates.exam_passed;
    if (!is_upgrade && !way.dates.fee_paid) out.fee_due_since = way.dates.fee_notice;
    return out;
}

// What the paths that this node shares say of members of the club.
Result<void> pin_paths(Context& context, const ClubPeople& people, std::vector<ReviewPin>& out) {
    constexpr std::int32_t past_days_max = 30;  // by then everybody who helps has seen it
    TRY(const auto ways, ways_of_others(context));
    const Day today = context.today();
    for (const WayView& way : ways) {
        if (!people.all.contains(way.owner.id)) continue;
        const std::vector<domain::HardDateFacts> facts{hard_facts(way)};
        for (const domain::Pin& pin : domain::hard_dates(facts, domain::shipped_clocks(), today)) {
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

std::vector<PersonView> by_name(std::map<MemberId, PersonView> all) {
    std::vector<PersonView> out;
    out.reserve(all.size());
    for (auto& [id, person] : all) out.push_back(std::move(person));
    std::sort(out.begin(), out.end(),
              [](const PersonView& a, const PersonView& b) { return std::tie(a.name, a.id) < std::tie(b.name, b.id); });
    return out;
}

}  // namespace

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
    out.sentence = "On the air means: a contact in the last " + std::to_string(out.days) + " days. ";
    if (out.of < domain::group_min) {
        out.sentence += "Fewer than five newcomers' rows are known, so that nothing is counted";
    } else {
        out.sentence += "That is so for " + domain::fewer_than_five(out.on_air) + " of " + std::to_string(out.of) +
                        " newcomers whose row is known";
    }
    out.sentence += out.unknown == 0 ? "." : "; of " + domain::fewer_than_five(out.unknown) + " more nothing is known.";
    return out;
}

Result<Review> review(Context& context) {
    TRY(ClubPeople people, club_people(context));
    return review_of(context, std::move(people));
}

Result<Review> review_of(Context& context, ClubPeople people) {
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
    for (const PairingView& pair : people.standing) {
        out.standing.push_back(
            {pair.newcomer, people.name_of(pair.newcomer), pair.mentor, people.name_of(pair.mentor), pair.day});
    }
    out.on_air = on_the_air(people, today);
    out.members = by_name(std::move(people.all));
    return out;
}

}  // namespace ladderline::node
