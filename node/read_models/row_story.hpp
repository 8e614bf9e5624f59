#pragma once
// A newcomer's rows in the club's list, put together: what review, questions and numbers ask of them. Made write by
// write, so that nobody's every row has to be read again.

#include <cstdint>

#include "protocol/event/bodies.hpp"

namespace ladderline::node {

// Rows that follow one another and name the same stage.
struct StageRun {
    std::string stage;               // "09"; empty: nothing left to do
    Day said;                        // of the first row
    std::optional<Day> since_first;  // as the first row says
    std::optional<Day> since_last;   // as the last row says

    // The day on which the stage began, as far as the rows tell.
    Day began() const { return since_last.value_or(said); }

    template <class Archive>
    void serialize(Archive& ar) {
        ar(protocol::bounded<protocol::limits::call_bytes_max>(stage), said, since_first, since_last);
    }
};

struct RowStory {
    static constexpr std::size_t runs_max = 200;

    WallTime first_said;
    WallTime last_said;
    std::uint32_t days = 0;              // days on which something was said
    std::uint64_t days_mask = 0;         // of the last 64: bit i stands for i days before last_said
    std::vector<StageRun> runs;          // oldest first, at most runs_max
    std::optional<Day> contact_first;    // of the days of last contacts
    std::optional<Day> contact_last;     // the greatest of them
    std::optional<Day> call_sign_since;  // said on
    std::optional<Day> help_latest;      // the last day from which a hand was wanted

    template <class Archive>
    void serialize(Archive& ar) {
        ar(first_said, last_said, days, days_mask, protocol::bounded<runs_max>(runs), contact_first, contact_last,
           call_sign_since, help_latest);
    }

    // In order of `said`. False: there are more runs than it holds, and it is of no use any more.
    bool add(WallTime said, const protocol::ClubRowBody& row);

    // Days less than `within` (1 to 32) before `today`, those after it too, on which something was said. None: it began
    // to forget those days, because the last news are from long after today.
    std::optional<int> recent_days(Day today, int within) const;
    // None without a row.
    bool is_empty() const { return days == 0; }
};

}  // namespace ladderline::node
