#pragma once
// A newcomer's rows in the club's list as they stood at the end of each period of 28 days: what the list's own hit rate
// asks of the last year. Kept beside what a log shows last, so that nobody's every row has to be read again.

#include <map>
#include <utility>
#include <vector>

#include "node/read_models/row_story.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::node {

// Periods are counted from the first day of all; the same for everybody, so that they can be worked out beforehand.
inline constexpr std::int32_t look_period_days = 28;
inline constexpr std::int32_t looks_a_year = 13;

inline std::int32_t look_period_of(Day day) {
    const std::int32_t n = day.number;
    return n >= 0 ? n / look_period_days : -((look_period_days - 1 - n) / look_period_days);
}
inline Day last_day_of_look(std::int32_t period) {
    return Day{(period + 1) * look_period_days - 1};
}

// Of the last row up to then, and of the days on which something was said (as in RowStory).
struct RowLook {
    WallTime said;
    std::uint32_t days = 0;
    std::uint64_t days_mask = 0;
    std::string stage;
    std::optional<Day> stage_since;
    std::optional<Day> help_since;
    bool has_mentor = false;
    bool resting = false;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(said, days, days_mask, protocol::bounded<protocol::limits::call_bytes_max>(stage), stage_since, help_since,
           has_mentor, resting);
    }
};
// `story` ends with `row`.
inline RowLook look_at(const RowStory& story, const protocol::ClubRowBody& row) {
    return {story.last_said, story.days,     story.days_mask,        row.stage,
            row.stage_since, row.help_since, row.mentor.has_value(), row.resting};
}

struct RowsLookedAt {
    RowStory story;                // of all rows
    protocol::ClubRowBody newest;  // the last that was said
    // By period, in order; from the first at whose end something had been said.
    std::vector<std::pair<std::int32_t, RowLook>> looks;
};
struct RowLooks {
    std::map<protocol::MemberId, RowsLookedAt> of;
    std::size_t left_out = 0;  // authors who were in more stages than a story holds
};
// Of every author in the club's list. `first` to `last`: periods, at most `looks_a_year` of them, `last` being over.
Result<RowLooks> row_looks(store::sqlite::Database& db, const protocol::CircleId& circle, std::int32_t first,
                           std::int32_t last);

}  // namespace ladderline::node
