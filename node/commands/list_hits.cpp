#include "node/commands/list_hits.hpp"

#include <algorithm>
#include <set>

#include "node/commands/checks.hpp"
#include "node/commands/club_people.hpp"
#include "node/commands/triage_facts.hpp"
#include "node/domain/review/hit_rate.hpp"
#include "node/domain/review/small_counts.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int32_t look_every_days = 28;
constexpr std::int32_t year_days = 365;
constexpr std::int32_t named_before_days = 90;

// One person whose rows may be read, as known on a day that moves on.
struct Listed {
    MemberId id;
    std::vector<RowWrite> history;    // never empty
    std::optional<Day> paired_since;  // a pairing that stands
    bool gone = false;                // left the club after their last row
    std::size_t known = 0;            // of the history
    RowStory story;                   // of those

    Day last_day() const { return utc_day(history.back().said); }
    bool is_on(Day day) const { return utc_day(history.front().said) <= day && !(gone && last_day() < day); }
    // False: they were in more stages than a story holds.
    bool go_on_to(Day day) {
        for (; known < history.size() && utc_day(history[known].said) <= day; ++known) {
            if (!story.add(history[known].said, history[known].row)) return false;
        }
        return true;
    }
};

domain::TriageFacts facts_on(const Listed& person, Day day) {
    const ClubRowBody& row = person.history[person.known - 1].row;
    domain::TriageFacts out = triage_facts(person.id, row, person.story, day);
    out.without_mentor = !row.mentor && !(person.paired_since && *person.paired_since <= day);
    if (row.resting) out.on_leave_until = day + 1;
    return out;
}

Result<std::vector<Listed>> everybody_listed(Context& context, const ClubPeople& people) {
    TRY(const auto views, shown_history(context.db, people.club.id, kind::club_row));
    std::map<MemberId, Listed> all;
    for (const ShownView& view : views) {
        const auto row = read_payload<ClubRowBody>(view.payload);
        if (row) all[view.by].history.push_back({view.said, *row});
    }
    std::vector<Listed> out;
    for (auto& [id, one] : all) {
        const auto member = people.all.find(id);
        one.gone = member == people.all.end();
        const bool is_newcomer = one.gone || member->second.role == MemberRole::newcomer;
        if (!is_newcomer || one.history.back().row.consent_until < context.today()) continue;
        one.id = id;
        for (const PairingView& pair : people.standing) {
            if (pair.newcomer == id) one.paired_since = pair.day;
        }
        out.push_back(std::move(one));
    }
    return out;
}

// Whom the list would have named on that day. Days are asked for in order.
std::vector<MemberId> named_on(std::vector<Listed>& all, const std::vector<CheckView>& asked, Day day) {
    std::erase_if(all, [&](Listed& person) { return !person.go_on_to(day); });
    StageWaits waits;
    std::vector<domain::TriageFacts> facts;
    std::map<std::string, MemberId> to_be_named;
    for (const Listed& person : all) {
        if (!person.is_on(day)) continue;
        waits.add(person.story, day);
        facts.push_back(facts_on(person, day));
        const ClubRowBody& row = person.history[person.known - 1].row;
        if (!asked_lately(asked, person.id, row, day)) to_be_named[facts.back().id] = person.id;
    }
    std::vector<MemberId> out;
    for (const domain::TriageLine& line : domain::triage(facts, waits.curves(), day).lines) {
        const auto found = to_be_named.find(line.id);
        if (!line.reasons.empty() && found != to_be_named.end()) out.push_back(found->second);
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
    return out;
}

}  // namespace

Result<ListHits> list_hits(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    TRY(const auto asked, checks(context, people.club.id));
    TRY(auto all, everybody_listed(context, people));
    const Day today = context.today();
    std::map<MemberId, std::vector<Day>> named;  // when
    for (std::int32_t ago = year_days / look_every_days * look_every_days; ago > 0; ago -= look_every_days) {
        for (const MemberId& id : named_on(all, asked, today + -ago)) named[id].push_back(today + -ago);
    }
    ListHits out;
    out.named = static_cast<int>(named.size());
    for (const Listed& person : all) {
        const std::vector<Day>& days = named[person.id];
        const auto any = [&](auto fits) { return std::any_of(days.begin(), days.end(), fits); };
        const bool left = person.gone && days_between(person.last_day(), today) < year_days;
        out.left += left ? 1 : 0;
        if (left && any([&](Day d) { return days_between(d, person.last_day()) <= named_before_days; }))
            out.named_and_left += 1;
        const bool fine = any([&](Day d) {
            return std::any_of(asked.begin(), asked.end(), [&](const CheckView& check) {
                const std::int32_t after = days_between(d, check.day);
                return check.newcomer == person.id && after >= 0 && after <= domain::hush_after_answer_days;
            });
        });
        out.asked_and_fine += fine ? 1 : 0;
    }
    out.sentences = words_of(out);
    return out;
}

}  // namespace ladderline::node
