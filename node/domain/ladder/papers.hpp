#pragma once
// What is known of the pass, the fee, the register and the day beside the ticks of the way, for its next step.

#include "node/domain/ladder/progress.hpp"

namespace ladderline::domain {

struct Papers {
    std::optional<Day> grant;       // the register shows a licence that has not lapsed, whoever wrote that down
    bool fee_missed = false;        // the fee's last day has gone by, and nobody wrote down that it was paid
    bool certificate_over = false;  // the latest pass waits for its first licence, and is too old to be filed
    std::optional<Day> today;       // without it no day on which something is looked at again has come
};

Progress progress(const Edition& edition, const States& states, const WayFacts& facts, const Papers& papers);

}  // namespace ladderline::domain
