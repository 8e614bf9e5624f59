#include "node/commands/review_list.hpp"

#include <algorithm>
#include <set>

#include "node/commands/checks.hpp"
#include "node/commands/review_questions.hpp"
#include "node/domain/review/hit_rate.hpp"
#include "node/domain/review/small_counts.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t stages_max = 100;
// A stage has a yardstick once so many people have left it; fewer would make one person's pace everybody's.
constexpr std::size_t finished_waits_min = 5;
constexpr std::int32_t look_every_days = 28;
constexpr std::int32_t year_days = 365;
constexpr std::int32_t named_before_days = 90;

using Rows = std::span<const RowWrite>;

Rows said_by(Rows history, Day day) {
    const auto later =
        std::find_if(history.begin(), history.end(), [&](const RowWrite& write) { return utc_day(write.said) > day; });
    return history.first(static_cast<std::size_t>(later - history.begin()));
}

bool is_on(const Listed& person, Day day) {
    return person.first_day() <= day && !(person.gone && person.last_day() < day);
}

// Stages left for a later one are finished waits; the present one, or one that was gone back from, is still open.
void add_waits(std::vector<std::vector<domain::Wait>>& waits, Rows history, Day day) {
    for (std::size_t i = 0; i < history.size(); ++i) {
        const auto stage = stage_of(history[i].row);
        const bool is_last = i + 1 == history.size();
        if (!stage || (!is_last && history[i + 1].row.stage == history[i].row.stage)) continue;
        const Day began = stage_began(history, i);
        const auto next = is_last ? std::nullopt : stage_of(history[i + 1].row);
        const bool is_finished = !is_last && (!next || *next > *stage);
        const Day end = is_last ? day : stage_began(history, i + 1);
        waits[*stage].push_back({static_cast<double>(std::max(0, days_between(began, end))), is_finished});
    }
}

std::vector<domain::SurvivalCurve> stage_curves(std::span<const Listed> all, Day day) {
    std::vector<std::vector<domain::Wait>> waits(stages_max);
    for (const Listed& person : all) {
        if (is_on(person, day)) add_waits(waits, said_by(person.history, day), day);
    }
    std::vector<domain::SurvivalCurve> out(stages_max);
    for (std::size_t stage = 0; stage < stages_max; ++stage) {
        const auto finished = std::count_if(waits[stage].begin(), waits[stage].end(),
                                            [](const domain::Wait& wait) { return wait.reached; });
        if (static_cast<std::size_t>(finished) >= finished_waits_min)
            out[stage] = domain::SurvivalCurve::of(waits[stage]);
    }
    return out;
}

domain::TriageFacts triage_facts(const Listed& person, Day day, Day today) {
    const Rows history = said_by(person.history, day);
    const ClubRowBody& row = history.back().row;
    domain::TriageFacts out;
    out.id = person.id;
    out.stage = stage_of(row).value_or(stages_max);
    out.days_in_stage = std::max(0, days_between(stage_began(history, history.size() - 1), day));
    if (row.help_since) out.waiting_days = std::max(0, days_between(*row.help_since, day));
    std::optional<Day> counted;
    for (const RowWrite& write : history) {
        const Day said = utc_day(write.said);
        if (counted == said) continue;
        counted = said;
        (days_between(said, day) < domain::recent_days ? out.active_days_recent : out.active_days_before) += 1;
    }
    out.days_in_club = std::max(0, days_between(utc_day(history.front().said), day));
    out.days_before = std::max(0, out.days_in_club - domain::recent_days);
    out.days_since_active = std::max(0, days_between(utc_day(history.back().said), day));
    const bool paired = row.mentor || (person.paired_since && *person.paired_since <= day);
    out.without_mentor = day == today ? person.without_mentor_today : !paired;
    if (day == today ? person.resting_today : row.resting) out.on_leave_until = day + 1;
    out.asked_is_fine_on = asked_lately(person, day);
    return out;
}

bool is_without_mentor(const ClubPeople& people, const ClubNewcomer& newcomer) {
    if (!newcomer.mentor) return true;
    const auto mentor = people.all.find(*newcomer.mentor);
    return mentor != people.all.end() && mentor->second.card && mentor->second.card->resting;
}

std::vector<std::string> words_of(const ListHits& hits) {
    const auto count = [](int n) { return domain::fewer_than_five(n); };
    std::vector<std::string> out;
    out.push_back("Looked at every four weeks of the last year from the news of that day, the list would have named " +
                  count(hits.named) + " people. Of them " + count(hits.named_and_left) +
                  " left the club within 90 days of being named, and of " + count(hits.asked_and_fine) +
                  " somebody noted within 14 days that they were asked and are fine.");
    out.push_back("Of " + count(hits.left) + " who left, it had named " + count(hits.named_and_left) + ".");
    const auto size = [](int n) { return static_cast<std::size_t>(n); };
    const domain::HitRate rate = domain::hit_rate({size(hits.named), size(hits.left), size(hits.named_and_left)});
    const auto per_cent = [](double share) { return std::to_string(static_cast<int>(share * 100 + 0.5)) + " %"; };
    if (!rate.listed_of_left || hits.named_and_left < 5) {
        out.emplace_back("No share is worked out before ten have left, five of them named: so few would mislead.");
    } else {
        out.push_back("That is " + per_cent(*rate.listed_of_left) + " of those who left, and " +
                      per_cent(rate.left_of_listed.value_or(0)) + " of those named.");
    }
    return out;
}

}  // namespace

Result<std::vector<Listed>> everybody_listed(Context& context, const ClubPeople& people) {
    TRY(const auto asked, checks(context, people.club.id));
    std::vector<Listed> out;
    for (const ClubNewcomer& newcomer : people.newcomers) {
        if (!newcomer.row) continue;
        Listed one;
        one.id = to_hex(newcomer.person.id.view());
        one.history = newcomer.history;
        one.without_mentor_today = is_without_mentor(people, newcomer);
        one.resting_today = newcomer.is_resting;
        for (const PairingView& pair : people.standing) {
            if (pair.newcomer == newcomer.person.id) one.paired_since = pair.day;
        }
        for (const CheckView& check : asked) {
            if (check.newcomer == newcomer.person.id) one.asked.push_back(check.day);
        }
        out.push_back(std::move(one));
    }
    for (const auto& history : people.former) {
        Listed one;
        one.id = "former " + std::to_string(out.size());
        one.history = history;
        one.gone = true;
        out.push_back(std::move(one));
    }
    return out;
}

std::optional<Day> asked_lately(const Listed& person, Day day) {
    std::optional<Day> last;
    for (const Day asked : person.asked) {
        if (asked <= day && days_between(asked, day) < domain::hush_after_answer_days) last = asked;
    }
    if (!last) return std::nullopt;
    const Rows history = said_by(person.history, day);
    const auto& help = history.empty() ? std::nullopt : history.back().row.help_since;
    return help && *help > *last ? std::nullopt : last;
}

domain::TriageList list_on(std::span<const Listed> all, Day day, Day today) {
    std::vector<domain::TriageFacts> facts;
    for (const Listed& person : all) {
        if (is_on(person, day)) facts.push_back(triage_facts(person, day, today));
    }
    return domain::triage(facts, stage_curves(all, day), day);
}

ListHits list_hits(std::span<const Listed> all, Day today) {
    std::map<std::string, std::vector<Day>> named;  // when
    for (std::int32_t ago = look_every_days; ago < year_days; ago += look_every_days) {
        const Day day = today + -ago;
        std::set<std::string> left_in_peace;
        for (const Listed& person : all) {
            if (asked_lately(person, day)) left_in_peace.insert(person.id);
        }
        for (const domain::TriageLine& line : list_on(all, day, today).lines) {
            if (!line.reasons.empty() && !left_in_peace.contains(line.id)) named[line.id].push_back(day);
        }
    }
    ListHits out;
    out.named = static_cast<int>(named.size());
    for (const Listed& person : all) {
        const std::vector<Day>& days = named[person.id];
        const bool left = person.gone && days_between(person.last_day(), today) < year_days;
        const auto any = [&](auto fits) { return std::any_of(days.begin(), days.end(), fits); };
        out.left += left ? 1 : 0;
        if (left && any([&](Day d) { return days_between(d, person.last_day()) <= named_before_days; }))
            out.named_and_left += 1;
        const bool fine = any([&](Day d) {
            return std::any_of(person.asked.begin(), person.asked.end(), [&](Day asked) {
                return asked >= d && days_between(d, asked) <= domain::hush_after_answer_days;
            });
        });
        out.asked_and_fine += fine ? 1 : 0;
    }
    out.sentences = words_of(out);
    return out;
}

}  // namespace ladderline::node
