#pragma once
// What is known of the pass and the fee beside the ticks of the way, for its next step.

#include "node/domain/ladder/progress.hpp"

namespace ladderline::domain {

struct Papers {
    bool fee_missed = false;        // the fee's last day has gone by, and nobody wrote down that it was paid
    bool certificate_over = false;  // the latest pass waits for its first licence, and is too old to be filed
};

Progress progress(const Edition& edition, const States& states, const WayFacts& facts, const Papers& papers);

}  // namespace ladderline::domain
