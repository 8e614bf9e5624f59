#include "node/commands/list_hits.hpp"

#include <algorithm>
#include <map>

#include "node/commands/checks.hpp"
#include "node/commands/club_people.hpp"
#include "node/commands/triage_facts.hpp"
#include "node/domain/review/hit_rate.hpp"
#include "node/domain/review/small_counts.hpp"
#include "node/read_models/present.hpp"
#include "node/read_models/row_looks.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int32_t year_days = 365;
constexpr std::int32_t named_before_days = 90;

using Checks = std::map<MemberId, std::vector<CheckView>>;  // by newcomer

// One person whose rows may be read, as known on a day that moves on.
struct Listed {
    MemberId id;
    RowsLookedAt rows;
    std::optional<Day> paired_since;  // a pairing that stands
    bool gone = false;                // left the club after their last row
    std::size_t next_look = 0;
    RowStory story;   // as it stood then
    ClubRowBody row;  // of it what a look keeps

    Day last_day() const { return utc_day(rows.story.last_said); }
    // False: they were not in the list at the end of that period. Periods are asked for in order.
    bool go_on_to(std::int32_t period) {
        const auto& looks = rows.looks;
        while (next_look < looks.size() && looks[next_look].first < period) ++next_look;
        const bool is_known = next_look < looks.size() && looks[next_look].first == period;
        if (!is_known || (gone && last_day() < last_day_of_look(period))) return false;
        take(looks[next_look].second);
        return true;
    }

private:
    void take(const RowLook& look) {
        const std::vector<StageRun>& runs = rows.story.runs;
        const Day day = utc_day(look.said);
        std::size_t known = story.runs.size();
        if (known > 0) story.runs.back() = runs[known - 1];
        for (; known < runs.size() && runs[known].said <= day; ++known) story.runs.push_back(runs[known]);
        story.runs.back().since_last = look.stage_since;
        story.first_said = rows.story.first_said;
        story.last_said = look.said;
        story.days = look.days;
        story.days_mask = look.days_mask;
        row.stage = look.stage;
        row.help_since = look.help_since;
        row.resting = look.resting;
        row.mentor = look.has_mentor ? std::optional(id) : std::nullopt;
    }
};

domain::TriageFacts facts_on(const Listed& person, Day day) {
    domain::TriageFacts out = triage_facts(person.id, person.row, person.story, day);
    out.without_mentor = !person.row.mentor && !(person.paired_since && *person.paired_since <= day);
    if (person.row.resting) out.on_leave_until = day + 1;
    return out;
}

Result<std::vector<Listed>> everybody_listed(Context& context, const CircleId& club, RowLooks looks, Day today) {
    TRY(const auto present, members_present(context.db, club));
    TRY(const auto newcomers, members_present(context.db, club, MemberRole::newcomer));
    TRY(const auto pairs, pairings(context.db, club));
    std::map<MemberId, Day> paired;
    for (const PairingView& pair : pairs) {
        const bool both_here = present.contains(pair.newcomer) && present.contains(pair.mentor);
        if (pair.step == PairingStep::agreed && both_here) paired[pair.newcomer] = pair.day;
    }
    std::vector<Listed> out;
    for (auto& [id, rows] : looks.of) {
        const bool gone = !present.contains(id);
        const bool is_newcomer = gone || newcomers.contains(id);
        if (!is_newcomer || rows.newest.consent_until < today) continue;
        Listed& one = out.emplace_back();
        one.id = id;
        one.gone = gone;
        one.rows = std::move(rows);
        if (const auto pair = paired.find(id); pair != paired.end()) one.paired_since = pair->second;
    }
    return out;
}

const std::vector<CheckView>& checks_of(const Checks& checks, const MemberId& id) {
    static const std::vector<CheckView> none;
    const auto found = checks.find(id);
    return found == checks.end() ? none : found->second;
}

// Whom the list would have named at the end of that period, by their places. Periods are asked for in order.
std::vector<std::size_t> named_in(std::vector<Listed>& all, const Checks& asked, std::int32_t period) {
    const Day day = last_day_of_look(period);
    StageWaits waits;
    std::vector<domain::TriageFacts> facts;
    std::vector<std::size_t> whose;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!all[i].go_on_to(period)) continue;
        waits.add(all[i].story, day);
        facts.push_back(facts_on(all[i], day));
        whose.push_back(i);
    }
    const std::vector<bool> named = domain::standing_out(facts, waits.curves(), day);
    std::vector<std::size_t> out;
    for (std::size_t k = 0; k < whose.size(); ++k) {
        const Listed& person = all[whose[k]];
        if (!named[k]) continue;
        const std::vector<CheckView>& of_them = checks_of(asked, person.id);
        if (!asked_lately(of_them, person.id, person.row, person.story.last_said, day)) out.push_back(whose[k]);
    }
    return out;
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
    constexpr int group_min = 5;
    if (!rate.listed_of_left || hits.named_and_left < group_min) {
        out.emplace_back("No share is worked out before ten have left, five of them named: so few would mislead.");
    } else {
        out.push_back("That is " + per_cent(*rate.listed_of_left) + " of those who left, and " +
                      per_cent(rate.left_of_listed.value_or(0)) + " of those named.");
    }
    if (hits.left_out > 0) {
        out.push_back("Not looked at: " + count(hits.left_out) + " who went back and forth between more than " +
                      std::to_string(RowStory::runs_max) + " stages.");
    }
    return out;
}

// What became of one person, by the days on which the list would have named them.
void add_outcome(const Listed& person, const std::vector<Day>& named, const std::vector<CheckView>& asked, Day today,
                 ListHits& out) {
    const auto any = [&](auto fits) { return std::any_of(named.begin(), named.end(), fits); };
    const bool left = person.gone && days_between(person.last_day(), today) < year_days;
    out.named += named.empty() ? 0 : 1;
    out.left += left ? 1 : 0;
    if (left && any([&](Day d) { return days_between(d, person.last_day()) <= named_before_days; }))
        out.named_and_left += 1;
    const bool fine = any([&](Day d) {
        return std::any_of(asked.begin(), asked.end(), [&](const CheckView& check) {
            const std::int32_t after = days_between(d, check.day);
            return after >= 0 && after <= domain::hush_after_answer_days;
        });
    });
    out.asked_and_fine += fine ? 1 : 0;
}

}  // namespace

Result<ListHits> list_hits(Context& context) {
    TRY(const CircleView club, club_as_officer(context));
    TRY(const auto every_check, checks(context, club.id));
    Checks asked;
    for (const CheckView& check : every_check) asked[check.newcomer].push_back(check);
    const Day today = context.today();
    const std::int32_t now = look_period_of(today);
    TRY(RowLooks looks, row_looks(context.db, club.id, now - looks_a_year, now - 1));
    ListHits out;
    out.left_out = static_cast<int>(looks.left_out);
    TRY(auto all, everybody_listed(context, club.id, std::move(looks), today));
    std::vector<std::vector<Day>> named(all.size());  // when
    for (std::int32_t period = now - looks_a_year; period < now; ++period) {
        for (const std::size_t who : named_in(all, asked, period)) named[who].push_back(last_day_of_look(period));
    }
    for (std::size_t i = 0; i < all.size(); ++i) add_outcome(all[i], named[i], checks_of(asked, all[i].id), today, out);
    out.sentences = words_of(out);
    return out;
}

}  // namespace ladderline::node
