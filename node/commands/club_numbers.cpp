#include "node/commands/club_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <set>

#include "node/commands/review_questions.hpp"
#include "node/domain/review/small_counts.hpp"

namespace ladderline::node {
namespace {

using domain::End;

constexpr int persons_min = 5;
constexpr std::size_t years_shown = 3;
constexpr std::int32_t quiet_long_days = 90;
constexpr double doubt = 0.05;

// One person's way through the list, without a name.
struct ListedWay {
    const RowStory* story = nullptr;
    bool gone = false;  // left the club
    bool resting = false;

    Day listed() const { return utc_day(story->first_said); }
    Day last_news() const { return utc_day(story->last_said); }
    Day end(Day today) const { return gone ? last_news() : today; }
};

std::vector<ListedWay> listed_ways(const ClubPeople& people) {
    std::vector<ListedWay> out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (newcomer.row) out.push_back({&newcomer.story, false, newcomer.is_resting});
    }
    for (const RowStory& story : people.former) out.push_back({&story, true, false});
    return out;
}

// From a day that `began` finds to one that `ended` finds; somebody without the first is not counted at all.
struct Stretch {
    std::string title;
    std::string definition;
    std::function<std::optional<Day>(const ListedWay&)> began;
    std::function<std::optional<Day>(const ListedWay&)> ended;
};

std::vector<Stretch> stretches() {
    const auto past_exam = [](const ListedWay& way) { return past_exam_since(*way.story); };
    const auto listed = [](const ListedWay& way) -> std::optional<Day> {
        if (is_past_exam(way.story->runs.front().stage)) return std::nullopt;  // was through before
        return way.listed();
    };
    return {{"From the club's list to past the examination",
             "Begun: the first row in the club's list. Reached: a row behind the stage of the examination.", listed,
             past_exam},
            {"From past the examination to the first contact",
             "Begun: the first row behind the stage of the examination. Reached: a day of a contact in the row, as a "
             "guest or under one's own call sign.",
             past_exam, [](const ListedWay& way) { return way.story->contact_first; }}};
}

struct Timed {
    domain::Outcome outcome;
    std::string year;  // in which it began
};

std::vector<Timed> timed(const Stretch& stretch, const std::vector<ListedWay>& ways, Day today) {
    constexpr std::size_t year_characters = 4;
    std::vector<Timed> out;
    for (const ListedWay& way : ways) {
        const auto began = stretch.began(way);
        if (!began) continue;
        const auto ended = stretch.ended(way);
        const Day end = ended.value_or(way.end(today));
        const double days = std::max(0, days_between(*began, end));
        const End how = ended ? End::reached : way.gone ? End::left : End::open;
        out.push_back({{days, how}, to_iso(*began).substr(0, year_characters)});
    }
    return out;
}

Cohort cohort_of(std::string title, const std::vector<Timed>& all) {
    Cohort out;
    out.title = std::move(title);
    out.persons = static_cast<int>(all.size());
    if (out.persons < persons_min) return out;
    std::vector<domain::Wait> waits;
    std::vector<domain::Outcome> outcomes;
    for (const Timed& one : all) {
        waits.push_back({one.outcome.days, one.outcome.end == End::reached});
        outcomes.push_back(one.outcome);
        out.days.push_back(one.outcome.days);
        out.reached += one.outcome.end == End::reached ? 1 : 0;
        out.left += one.outcome.end == End::left ? 1 : 0;
    }
    std::sort(out.days.begin(), out.days.end());
    out.curve = domain::SurvivalCurve::of(waits);
    out.outcomes = domain::OutcomeCurves::of(outcomes);
    out.median = out.curve.quantile(0.5);
    return out;
}

std::string per_cent(double share) {
    return std::to_string(std::lround(share * 100)) + " %";
}

// Beyond the longest time that anybody was followed nothing is known.
std::string share_words(const Cohort& all) {
    std::string shares;
    std::string end = " days.";
    for (const int days : {30, 90, 365}) {
        if (!all.is_followed(days)) {
            end = " days; nobody was followed for " + std::to_string(days) + " yet.";
            break;
        }
        shares += (shares.empty() ? "" : ", ") + per_cent(all.outcomes.share_at(End::reached, days)) + " after " +
                  std::to_string(days);
    }
    if (shares.empty()) return "Nobody was followed for 30 days yet, so that no share of all who begin can be said.";
    return "Of all who begin, those who leave among them, there are " + shares + end;
}

std::vector<std::string> words_of(const Cohort& all) {
    if (all.persons < persons_min) {
        return {"Fewer than five people began, so that nothing is shown."};
    }
    std::vector<std::string> out;
    out.push_back("Of " + std::to_string(all.persons) + " who began, " + domain::fewer_than_five(all.reached) +
                  " got there and " + domain::fewer_than_five(all.left) + " left the club first.");
    out.push_back("Among those who go on it is " + median_words(all) + ".");
    out.push_back(share_words(all));
    if (all.reached < 10) out.emplace_back("Fewer than ten got there yet: take all of this for rough.");
    return out;
}

// This year's beginners against last year's.
std::string comparison_of(const std::vector<Timed>& all, const std::string& now, const std::string& before) {
    std::vector<domain::CohortWait> waits;
    int persons[2] = {0, 0};
    std::size_t events = 0;
    for (const Timed& one : all) {
        if (one.year != now && one.year != before) continue;
        const std::size_t group = one.year == now ? 0 : 1;
        persons[group] += 1;
        const bool reached = one.outcome.end == End::reached;
        events += reached ? 1 : 0;
        waits.push_back({{one.outcome.days, reached}, group, 0});
    }
    if (persons[0] < persons_min || persons[1] < persons_min) return {};
    const bool counted = events < domain::log_rank_events_min;
    const double p = counted ? domain::permutation_test(waits).p() : domain::log_rank(waits, 2).p;
    char chance[16];
    std::snprintf(chance, sizeof chance, "%.2f", p);
    const std::string how = counted ? " by counting permutations)." : " by the log-rank test).";
    if (p >= doubt) {
        return now + " and " + before + " do not differ by more than chance explains (p = " + chance + how;
    }
    return now + " and " + before + " differ by more than chance explains (p = " + (p < 0.01 ? "below 0.01" : chance) +
           how;
}

std::string year_before(const std::string& year) {
    return std::to_string(std::atoi(year.c_str()) - 1);
}

WaitCurve milestone_of(const Stretch& stretch, const std::vector<ListedWay>& ways, Day today) {
    const std::vector<Timed> all = timed(stretch, ways, today);
    WaitCurve out;
    out.title = stretch.title;
    out.definition = stretch.definition;
    out.all = cohort_of("all", all);
    std::map<std::string, std::vector<Timed>, std::greater<>> by_year;
    for (const Timed& one : all) by_year[one.year].push_back(one);
    for (const auto& [year, own] : by_year) {
        if (out.years.size() < years_shown && static_cast<int>(own.size()) >= persons_min) {
            out.years.push_back(cohort_of(year, own));
        }
    }
    constexpr std::size_t year_characters = 4;
    const std::string now = to_iso(today).substr(0, year_characters);
    out.comparison = comparison_of(all, now, year_before(now));
    out.sentences = words_of(out.all);
    return out;
}

void count_stages(std::map<std::size_t, StageLoss>& out, const ListedWay& way, Day today) {
    std::set<std::size_t> been;
    for (const StageRun& run : way.story->runs) {
        if (const auto stage = stage_of(run)) been.insert(*stage);
    }
    const auto last = stage_of(way.story->runs.back());
    for (const std::size_t stage : been) {
        StageLoss& line = out[stage];
        line.came += 1;
        if (!last || *last > stage) {
            line.went_on += 1;
        } else if (*last == stage && way.gone) {
            line.left += 1;
        } else if (*last == stage && !way.resting && days_between(way.last_news(), today) >= quiet_long_days) {
            line.quiet += 1;
        }
    }
}

std::vector<StageLoss> stage_losses(const std::vector<ListedWay>& ways, Day today) {
    std::map<std::size_t, StageLoss> all;
    for (const ListedWay& way : ways) count_stages(all, way, today);
    std::vector<StageLoss> out;
    for (auto& [stage, line] : all) {
        if (line.came < persons_min) continue;
        line.stage = (stage < 10 ? "0" : "") + std::to_string(stage);
        out.push_back(line);
    }
    return out;
}

std::vector<std::string> last_spring_on_air(const ClubPeople& people, Day today) {
    constexpr std::size_t year_characters = 4;
    std::string year = to_iso(today).substr(0, year_characters);
    if (to_iso(today) < year + "-06-01") year = year_before(year);
    const std::string from = year + "-03-01";
    const std::string to = year + "-05-31";
    std::vector<std::string> out;
    for (const int within : {30, 90, 365}) {
        int of = 0;
        int on_air = 0;
        for (const ListedWay& way : listed_ways(people)) {
            const auto passed = past_exam_since(*way.story);
            if (!passed || to_iso(*passed) < from || to_iso(*passed) > to) continue;
            if (!way.gone && days_between(*passed, today) < within) continue;
            of += 1;
            const auto contact = way.story->contact_first;
            on_air += contact && days_between(*passed, *contact) <= within ? 1 : 0;
        }
        out.push_back("A contact within " + std::to_string(within) + " days: " + domain::fewer_than_five(on_air) +
                      " of " + domain::fewer_than_five(of) + " who came past the examination in spring " + year +
                      " and of whom that long is known.");
    }
    return out;
}

std::vector<std::string> median_to_contact(const ClubPeople& people, Day today) {
    const WaitCurve milestone = milestone_of(stretches().back(), listed_ways(people), today);
    std::vector<std::string> out;
    for (const Cohort& year : milestone.years) out.push_back(year.title + ": " + median_words(year) + ".");
    if (out.empty()) out.push_back("In no year did five people come past the examination; nothing is shown.");
    if (!milestone.comparison.empty()) out.push_back(milestone.comparison);
    return out;
}

std::vector<std::string> where_lost(const ClubPeople& people, Day today) {
    std::vector<std::string> out;
    for (const StageLoss& line : stage_losses(listed_ways(people), today)) {
        out.push_back("Stage " + line.stage + ": of " + std::to_string(line.came) + " who came, " +
                      domain::fewer_than_five(line.went_on) + " went on, " + domain::fewer_than_five(line.left) +
                      " left the club there, " + domain::fewer_than_five(line.quiet) + " have been quiet for 90 days.");
    }
    if (out.empty()) out.push_back("No stage has seen five people of the club's list; nothing is shown.");
    return out;
}

constexpr CountQuestion questions[] = {
    {29, "Of last spring's class, how many were on the air after 30, 90 and 365 days", last_spring_on_air,
     "On the air means: a contact written down by then. Who shares no row is not counted."},
    {30, "Median time from the examination to the first contact, this year and last", median_to_contact,
     "The rows hold no pass date: the days count from the stage behind the examination."},
    {31, "At which stage people are lost", where_lost,
     "Why somebody stays or goes is not known, and nobody has to say."},
};

}  // namespace

int Cohort::at_risk(double after) const {
    return static_cast<int>(days.end() - std::lower_bound(days.begin(), days.end(), after));
}

bool Cohort::is_followed(double after) const {
    constexpr double nobody = 1e-9;  // a share that was multiplied together
    return (!days.empty() && after <= days.back()) || outcomes.still_at(after) < nobody;
}

std::span<const CountQuestion> count_questions() {
    return questions;
}

std::string median_words(const Cohort& cohort) {
    if (cohort.persons < persons_min) return "not shown for fewer than five people";
    const domain::Quantile& m = cohort.median;
    if (!m.days) return "more than half still waiting after the longest time seen";
    const auto whole = [](double days) { return std::to_string(std::lround(days)); };
    std::string out = "half of them within " + days_words(static_cast<std::int32_t>(std::lround(*m.days)));
    if (m.lower && m.upper) return out + " (95 % limits " + whole(*m.lower) + " to " + whole(*m.upper) + ")";
    if (m.lower) return out + " (95 % limits " + whole(*m.lower) + " or more)";
    return out;
}

Result<ClubNumbers> club_numbers(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    const std::vector<ListedWay> ways = listed_ways(people);
    ClubNumbers out;
    out.club = people.club.name;
    for (const Stretch& stretch : stretches()) {
        out.milestones.push_back(milestone_of(stretch, ways, context.today()));
    }
    out.stages = stage_losses(ways, context.today());
    out.as_of = oldest_news(people);
    out.known = static_cast<int>(ways.size());
    out.unknown = unknown_newcomers(people);
    return out;
}

Result<AnnualReport> annual_report(Context& context) {
    constexpr std::int32_t year_days = 365;
    TRY(const ClubPeople people, club_people(context));
    AnnualReport out;
    out.club = people.club.name;
    out.to = context.today();
    out.from = out.to + -year_days;
    out.as_of = oldest_news(people);
    const auto within = [&](const std::optional<Day>& day) { return day && *day > out.from && *day <= out.to; };
    int began = 0;
    int passed = 0;
    int on_air = 0;
    int left = 0;
    int asked = 0;
    const std::vector<ListedWay> ways = listed_ways(people);
    for (const ListedWay& way : ways) {
        began += within(way.listed()) ? 1 : 0;
        passed += within(past_exam_since(*way.story)) ? 1 : 0;
        on_air += within(way.story->contact_first) ? 1 : 0;
        left += way.gone && within(way.last_news()) ? 1 : 0;
        asked += within(way.story->help_latest) ? 1 : 0;
    }
    int paired = 0;
    for (const PairingView& pair : people.standing) paired += within(pair.day) ? 1 : 0;
    const auto count = [](int n) { return domain::fewer_than_five(n); };
    out.sentences = {
        "Newcomers who came into the club's list: " + count(began) + ".",
        "Came past the examination: " + count(passed) + ".",
        "Made their first contact: " + count(on_air) + ".",
        "Asked for a hand at least once: " + count(asked) + ".",
        "Pairs agreed in the year that still stand: " + count(paired) + ".",
        "Left the club: " + count(left) + ".",
        "Newcomers of whom nothing is known, because they share nothing or no news came: " +
            count(unknown_newcomers(people)) + ".",
    };
    out.sentences.push_back("Counted are " + count(static_cast<int>(ways.size())) +
                            " people whose rows may be read, those who left among them.");
    out.sentences.push_back(on_the_air(people, out.to).sentence);
    for (const std::string& sentence : median_to_contact(people, out.to)) {
        out.sentences.push_back("From the examination to the first contact: " + sentence);
    }
    return out;
}

}  // namespace ladderline::node
