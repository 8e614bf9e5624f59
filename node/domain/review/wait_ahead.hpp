#pragma once
// What a survival curve says to somebody who has waited for a while already.
// Source: conditional survival from the Kaplan-Meier curve with Greenwood's variance of what lies between the two days;
// limits by the log-log transform as in survival.hpp.

#include "node/domain/review/survival.hpp"

namespace ladderline::domain {

// Among those who had not got there after `waited` days, the share still not there `further` days later.
struct StillWaiting {
    double share = 1;
    double standard_error = 0;
    std::optional<Limits> limits;  // 95 %; none where nobody is left
};
// None where the curve says that nobody waits as long as `waited`. Both in days, >= 0.
std::optional<StillWaiting> still_waiting(const SurvivalCurve& curve, double waited, double further);

// The least number of further days after which half of those still waiting got there; none if the curve ends above.
std::optional<double> median_further_wait(const SurvivalCurve& curve, double waited);

// Mean days of the first `until` days spent waiting: the area below the curve. Precondition: until >= 0, finite.
double mean_wait_within(const SurvivalCurve& curve, double until);

}  // namespace ladderline::domain
