#include "node/commands/review_questions.hpp"

#include <algorithm>
#include <set>
#include <tuple>

#include "node/commands/meetings.hpp"
#include "node/domain/licence/clocks.hpp"
#include "node/domain/radio/path.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::string_view review_setting = "review_held";
constexpr std::size_t exam_stage = 3;
constexpr std::int32_t first_month_days = 31;
constexpr std::int32_t touch_missing_days = 14;
constexpr std::int32_t answer_late_days = 3;
constexpr std::size_t longest_max = 5;
constexpr std::int32_t review_usual_days = 30;  // looked back while no review was held

Result<Answers> passed_without_contact(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer* newcomer : awake(people)) {
        if (newcomer->row->row.last_contact || !is_past_exam(newcomer->row->row.stage)) continue;
        const auto since = past_exam_since(newcomer->story);
        const std::int32_t waited = since ? days_between(*since, context.today()) : 0;
        if (waited > domain::shipped_clocks().first_contact_alarm_days) {
            out.push_back({newcomer->person.name, "past the examination for " + days_words(waited)});
        }
    }
    return out;
}

Result<Answers> call_sign_without_contact(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer* newcomer : awake(people)) {
        if (newcomer->row->row.last_contact || newcomer->row->row.call_sign.empty()) continue;
        const std::optional<Day> since = newcomer->story.call_sign_since;
        const std::int32_t waited = since ? days_between(*since, context.today()) : 0;
        if (waited > domain::shipped_clocks().first_contact_target_days) {
            out.push_back({newcomer->person.name, newcomer->row->row.call_sign + " for " + days_words(waited)});
        }
    }
    return out;
}

Result<Answers> one_contact_then_none(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer* newcomer : awake(people)) {
        const std::optional<Day> first = newcomer->story.contact_first;
        if (!first || first != newcomer->story.contact_last) continue;
        const std::int32_t waited = days_between(*first, context.today());
        if (waited >= domain::shipped_clocks().quiet_days)
            out.push_back({newcomer->person.name, "last on " + to_iso(*first)});
    }
    return out;
}

Result<Answers> untouched_in_first_month(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer* newcomer : awake(people)) {
        for (const PairingView& pair : people.standing) {
            if (pair.newcomer != newcomer->person.id) continue;
            const Day heard = std::max(pair.day, newcomer->row->row.last_touch.value_or(pair.day));
            const std::int32_t quiet = days_between(heard, context.today());
            if (days_between(pair.day, context.today()) > first_month_days || quiet < touch_missing_days) continue;
            out.push_back(
                {newcomer->person.name, "not heard from " + people.name_of(pair.mentor) + " for " + days_words(quiet)});
        }
    }
    return out;
}

Result<Answers> without_mentor(Context&, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.row && !newcomer.mentor)
            out.push_back({newcomer.person.name, newcomer.is_resting ? "resting" : ""});
    }
    return out;
}

Result<Answers> unanswered(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row || !newcomer.row->row.help_since) continue;
        const std::int32_t waited = days_between(*newcomer.row->row.help_since, context.today());
        if (waited >= answer_late_days) {
            out.push_back({newcomer.person.name, newcomer.row->row.help_topic + ", for " + days_words(waited)});
        }
    }
    return out;
}

Result<Answers> longest_in_stage(Context& context, const ClubPeople& people) {
    std::vector<std::pair<Day, ReviewedPerson>> all;
    for (const ClubNewcomer* newcomer : awake(people)) {
        if (!stage_of(newcomer->row->row)) continue;
        const Day began = newcomer->story.runs.back().began();
        all.push_back({began,
                       {newcomer->person.name, "stage " + newcomer->row->row.stage + " for " +
                                                   days_words(days_between(began, context.today()))}});
    }
    std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    Answers out;
    for (std::size_t i = 0; i < std::min(all.size(), longest_max); ++i) out.push_back(all[i].second);
    return out;
}

std::string offer_in_words(const MentorLine& mentor) {
    std::string out = std::to_string(mentor.places) + (mentor.places == 1 ? " place" : " places");
    std::string topics;
    for (const std::string& topic : mentor.topics) topics += (topics.empty() ? "" : ", ") + topic;
    if (!topics.empty()) out += "; " + topics;
    if (!mentor.locator.empty()) out += "; near " + mentor.locator;
    return out;
}

Result<Answers> with_room(Context&, const ClubPeople& people) {
    Answers out;
    for (const MentorLine& mentor : mentors_with_room(people)) out.push_back({mentor.name, offer_in_words(mentor)});
    return out;
}

Result<Answers> over_five(Context&, const ClubPeople& people) {
    Answers out;
    for (const MentorLine& mentor : mentors_over_five(people)) {
        out.push_back({mentor.name, std::to_string(mentor.carries) + " newcomers"});
    }
    return out;
}

Result<Answers> reviews_this_month(Context& context, const ClubPeople& people) {
    constexpr std::size_t month_characters = 7;  // "2026-09"
    const std::string month = to_iso(context.today()).substr(0, month_characters);
    const domain::Clocks& clocks = domain::shipped_clocks();
    Answers out;
    for (const PairingView& pair : people.standing) {
        for (const std::int32_t after : {clocks.review_1_days, clocks.review_2_days, clocks.review_3_days}) {
            const std::string day = to_iso(pair.day + after);
            if (day.substr(0, month_characters) != month) continue;
            out.push_back({people.name_of(pair.newcomer) + " and " + people.name_of(pair.mentor),
                           days_words(after) + " on " + day});
        }
    }
    return out;
}

Result<Answers> consent_ends_soon(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        const Day until = newcomer.row->row.consent_until;
        if (days_between(context.today(), until) > domain::shipped_clocks().consent_ahead_days) continue;
        out.push_back({newcomer.person.name, "until " + to_iso(until)});
    }
    return out;
}

// With a mentor in the club's list or without: a mentor may sit on the path all the same.
Result<Answers> minors_and_adults(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.is_minor) continue;
        const auto adults = adults_on_path(context, newcomer);
        out.push_back(
            {newcomer.person.name, adults ? "guardian and second adult are on the path" : adults.error().sentence()});
    }
    return out;
}

Result<Answers> quiet(Context& context, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer* newcomer : awake(people)) {
        const ClubRowBody& row = newcomer->row->row;
        Day heard = utc_day(newcomer->row->said);
        for (const auto& day : {row.last_milestone, row.last_contact, row.last_touch})
            heard = std::max(heard, day.value_or(heard));
        const std::int32_t since = days_between(heard, context.today());
        if (since >= domain::shipped_clocks().quiet_days)
            out.push_back({newcomer->person.name, "for " + days_words(since)});
    }
    return out;
}

Result<Answers> consent_over(Context&, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.is_consent_over) out.push_back({newcomer.person.name, "consent is over"});
    }
    return out;
}

Result<Day> last_review(Context& context) {
    TRY(const auto held, store::get_text_setting(context.db, review_setting));
    if (!held) return context.today() + -review_usual_days;
    return parse_day(*held);
}

// What became of one person whose row was `before`, if there was one, in words; empty if nothing did.
std::string change_since(const ClubRowBody* before, const ClubRowBody& now) {
    if (before == nullptr) return "new in the list, stage " + (now.stage.empty() ? "none" : now.stage);
    std::string out;
    const auto add = [&](bool changed, const std::string& words) {
        if (changed) out += (out.empty() ? "" : ", ") + words;
    };
    add(before->stage != now.stage, "stage " + before->stage + " to " + (now.stage.empty() ? "the end" : now.stage));
    add(before->last_milestone != now.last_milestone, "a milestone");
    add(before->last_contact != now.last_contact, "on the air");
    add(before->mentor != now.mentor, now.mentor ? "a mentor" : "no mentor any more");
    add(before->help_topic.empty() && !now.help_topic.empty(), "asks for help");
    add(before->resting != now.resting, now.resting ? "rests" : "back from resting");
    return out;
}

Result<Answers> changes_since_review(Context& context, const ClubPeople& people) {
    TRY(const Day since, last_review(context));
    TRY(const auto rows, rows_at(context.db, people.club.id, since));
    Answers out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        const auto before = rows.find(newcomer.person.id);
        const std::string change = change_since(before == rows.end() ? nullptr : &before->second, newcomer.row->row);
        if (!change.empty()) out.push_back({newcomer.person.name, change});
    }
    for (const PairingView& pair : people.standing) {
        if (pair.day <= since) continue;
        out.push_back(
            {people.name_of(pair.newcomer) + " and " + people.name_of(pair.mentor), "paired on " + to_iso(pair.day)});
    }
    return out;
}

// Pairs that ended within a year of being agreed, and with whom the newcomer is now.
Result<Answers> ended_early(Context& context, const ClubPeople& people) {
    TRY(const auto all, pairings(context.db, people.club.id));
    Answers out;
    for (const PairingView& pair : all) {
        if (pair.step != PairingStep::ended || !pair.were_together) continue;
        if (days_between(pair.day, context.today()) > domain::shipped_clocks().review_3_days) continue;
        std::string now = "no new pairing";
        for (const PairingView& later : people.standing) {
            if (later.newcomer == pair.newcomer) now = "now with " + people.name_of(later.mentor);
        }
        out.push_back({people.name_of(pair.newcomer) + " and " + people.name_of(pair.mentor),
                       "ended on " + to_iso(pair.day) + "; " + now});
    }
    return out;
}

// What members chose to show of their study names their booked exam and the years of their pool.
Result<Answers> pool_ends_before_exam(Context& context, const ClubPeople& people) {
    constexpr std::size_t year_characters = 4;
    TRY(const auto shares, shown(context.db, people.club.id, kind::study_share));
    Answers out;
    for (const ShownView& view : shares) {
        const auto share = read_payload<StudyShareBody>(view.payload);
        if (!share || !share->exam_booked || share->edition.size() < year_characters) continue;
        if (*share->exam_booked < context.today() || !people.all.contains(view.by)) continue;
        const std::string last = share->edition.substr(share->edition.size() - year_characters);
        const std::string exam = to_iso(*share->exam_booked);
        const bool is_year = std::all_of(last.begin(), last.end(), [](char c) { return c >= '0' && c <= '9'; });
        if (!is_year || exam.substr(0, year_characters) < last) continue;
        const bool certain = exam.substr(0, year_characters) > last;
        out.push_back(
            {people.name_of(view.by), "exam on " + exam + ", pool " + share->edition +
                                          (certain ? "" : ", which ends in that year: look at its last day")});
    }
    return out;
}

// Within a day from now, as the card says; the spans are cut to that.
bool has_time_tonight(const PersonView& person, Context& context) {
    constexpr std::int64_t day_ms = 86'400'000;
    if (!person.card || person.card->resting || person.card->windows.empty()) return false;
    const auto spans = domain::to_instants(availability(person), context.today(), 2);
    if (!spans) return false;
    const WallTime now = context.now();
    return std::any_of(spans.value().begin(), spans.value().end(),
                       [&](const domain::TimeSpan& span) { return span.to > now && span.from.ms < now.ms + day_ms; });
}

std::optional<domain::Locator> locator_of(const PersonView& person) {
    auto locator = domain::Locator::parse(person.card ? person.card->locator : "");
    if (!locator) return std::nullopt;
    return std::move(locator).value();
}

// Members with a licence and time within a day, the three nearest of each newcomer who has no contact yet.
Result<Answers> near_tonight(Context& context, const ClubPeople& people) {
    constexpr std::size_t named_max = 3;
    Answers out;
    for (const ClubNewcomer* newcomer : awake(people)) {
        const auto own = locator_of(newcomer->person);
        if (newcomer->row->row.last_contact || !is_past_exam(newcomer->row->row.stage) || !own) continue;
        struct Near {
            domain::Apart apart;
            std::string name;
        };
        std::vector<Near> near;
        for (const auto& [id, person] : people.all) {
            const auto theirs = locator_of(person);
            const bool licensed =
                person.card && !(person.card->licence_class.empty() && person.card->call_sign.empty());
            if (id == newcomer->person.id || !licensed || !theirs || !has_time_tonight(person, context)) continue;
            near.push_back({domain::apart(*own, *theirs), person.name});
        }
        std::sort(near.begin(), near.end(), [](const Near& a, const Near& b) {
            return std::tie(a.apart.centres_km, a.name) < std::tie(b.apart.centres_km, b.name);
        });
        std::string words;
        for (std::size_t i = 0; i < std::min(near.size(), named_max); ++i) {
            words += (words.empty() ? "" : ", ") + near[i].name + " (" + to_text(near[i].apart) + ")";
        }
        out.push_back({newcomer->person.name, words.empty() ? "nobody has said so on their card" : words});
    }
    return out;
}

Result<Answers> milestone_this_month(Context& context, const ClubPeople& people) {
    constexpr std::size_t month_characters = 7;
    const std::string month = to_iso(context.today()).substr(0, month_characters);
    Answers out;
    for (const ClubNewcomer* newcomer : awake(people)) {
        const auto& day = newcomer->row->row.last_milestone;
        if (!day || to_iso(*day).substr(0, month_characters) != month) continue;
        out.push_back({newcomer->person.name, "on " + to_iso(*day)});
    }
    return out;
}

Result<Answers> no_news(Context&, const ClubPeople& people) {
    Answers out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row && !newcomer.is_consent_over) out.push_back({newcomer.person.name, ""});
    }
    return out;
}

// Numbers are those of the club's list of 36.
constexpr RowQuestion questions[] = {
    {1, "Past the examination for more than 30 days and no contact yet", passed_without_contact,
     "The rows hold no pass date: the days count from the stage after the examination, so somebody who walks the "
     "stages "
     "in another order may be missing."},
    {2, "A call sign for more than 14 days and no contact yet", call_sign_without_contact,
     "The rows hold no grant date: the days count from the first row with the call sign, and who does not share the "
     "call "
     "sign is missing."},
    {6, "One contact, then none for 21 days", one_contact_then_none,
     "The rows hold the day of the last contact alone: several on one day look like one."},
    {7, "In the first month with a mentor, and not heard from them for 14 days", untouched_in_first_month,
     "Only touches that the mentor wrote down are known, and only pairs that an officer recorded."},
    {8, "No mentor", without_mentor, "A mentor who is on the path but not in the club's list may be missing here."},
    {9, "Asked for help and waiting for 3 days or more", unanswered,
     "An answer given by voice shows only once the newcomer says that it is settled."},
    {10, "Longest at one stage", longest_in_stage, "Why somebody stays at a stage is not known; it may be by choice."},
    {14, "Mentors with room, their topics and locator square", with_room,
     "Room is what the card says less the newcomers that the club knows of.", false},
    {15, "Mentors who carry more than five", over_five, "Newcomers outside the club are not counted.", false},
    {16, "Pairings that are 30, 90 or 365 days old this month", reviews_this_month,
     "Only pairs that an officer recorded are known.", false},
    {17, "Pairings that ended in the last year, and whether they were paired anew", ended_early,
     "Why a pairing ended is not asked; only pairs that an officer recorded are known.", false},
    {18, "Consent to the club's list that ends within 60 days", consent_ends_soon,
     "Guardians' consents and mentors' safeguarding dates are not held by the club; ask those who hold them."},
    {19, "Guardian and second adult of everyone under 18", minors_and_adults,
     "Only paths that this node shares can be looked at; all others are unknown.", false},
    {21, "Studies from a pool that ends before the exam", pool_ends_before_exam,
     "Only those who chose to show their study to the club can be looked at.", false},
    {24, "Who is near a newcomer who needs a contact tonight", near_tonight,
     "Only members who wrote class, weekly times and locator on their cards; distances are between squares."},
    {28, "A milestone reached this month", milestone_this_month,
     "Which one is not told, and whether they want to be congratulated in public: ask them first."},
    {32, "Quiet for 21 days and not resting: ask once, kindly, then leave in peace", quiet,
     "Silence needs no reason; steps that were not written down do not show."},
    {34, "Rows whose consent is over, to be removed", consent_over,
     "Copies on paper or outside this program are not known.", false},
    {35, "What changed since the last review", changes_since_review,
     "Pairings that ended do not show; without a review held on this node the last 30 days are looked at."},
    {36, "Newcomers of whom there is no news at all", no_news,
     "They may share nothing by choice, or their node may not have been reached.", false},
};

}  // namespace

std::string days_words(std::int32_t n) {
    return std::to_string(n) + (n == 1 ? " day" : " days");
}

std::vector<const ClubNewcomer*> awake(const ClubPeople& people) {
    std::vector<const ClubNewcomer*> out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.row && !newcomer.is_resting) out.push_back(&newcomer);
    }
    return out;
}

bool is_past_exam(const std::string& stage) {
    const auto number = stage_number(stage);
    return number ? *number > exam_stage : stage.empty();
}

std::optional<Day> past_exam_since(const RowStory& story) {
    for (const StageRun& run : story.runs) {
        if (is_past_exam(run.stage)) return std::min(run.since_first.value_or(run.said), run.said);
    }
    return std::nullopt;
}

std::span<const RowQuestion> row_questions() {
    return questions;
}

Result<Done> review_held(Context& context) {
    TRY(club_people(context));
    TRY(store::put_text_setting(context.db, review_setting, to_iso(context.today())));
    return Done{"Noted: a review was held on " + to_iso(context.today()) + ".", {}};
}

}  // namespace ladderline::node
