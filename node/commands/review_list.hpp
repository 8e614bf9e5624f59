#pragma once
// The list of those who need somebody, as it is or was on a day: from the rows said by then and nothing later.

#include <span>

#include "node/commands/club_people.hpp"
#include "node/commands/review.hpp"
#include "node/domain/review/triage.hpp"

namespace ladderline::node {

// One person whose rows may be read, without a name. Points into the ClubPeople that it was made of.
struct Listed {
    std::string id;                     // settles ties
    std::span<const RowWrite> history;  // never empty
    std::optional<Day> paired_since;    // a pairing that stands
    bool without_mentor_today = false;  // none, or the one they have pauses
    bool resting_today = false;         // by card or row
    std::vector<Day> asked;             // "asked, is fine", ascending
    bool gone = false;                  // left the club after their last row

    Day first_day() const { return utc_day(history.front().said); }
    Day last_day() const { return utc_day(history.back().said); }
};

// Everybody whose row may be read: newcomers by name, then those who left.
Result<std::vector<Listed>> everybody_listed(Context& context, const ClubPeople& people);
// The list of that day. Who had no row yet, or had left, is not on it. Of `today` cards and pairings count as they are;
// for an earlier day what the rows said then, and pairings that still stand.
domain::TriageList list_on(std::span<const Listed> all, Day day, Day today);

// The latest day on which somebody was asked, if that keeps them off the list on `day`: less than 14 days ago, and
// nothing asked for since.
std::optional<Day> asked_lately(const Listed& person, Day day);

// What became, in the year that ends today, of those whom the list would have named every 28 days.
ListHits list_hits(std::span<const Listed> all, Day today);

}  // namespace ladderline::node
