#pragma once
// How long people take to a milestone, when some have not got there yet.
// Sources: Kaplan & Meier, J. Am. Stat. Assoc. 53 (1958); Greenwood (1926) for the variance; limits by the log-log
// transform; Brookmeyer & Crowley, Biometrics 38 (1982) for the limits of a quantile.

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace ladderline::domain {

// One person's time in a stage.
struct Wait {
    double days = 0;  // >= 0, finite: from the start to the event, or to the last day it is known not to have happened
    bool reached = false;  // false: censored there (still open, moved away, asked not to be counted)
};

struct Limits {
    double lower = 0;
    double upper = 1;
    bool operator==(const Limits&) const = default;
};

// One event time. Somebody censored at this very time is still at risk.
struct SurvivalStep {
    double days = 0;
    std::size_t at_risk = 0;
    std::size_t events = 0;        // >= 1
    double survival = 1;           // S just after
    double greenwood = 0;          // sum of d/(n(n-d)) up to here; infinite once survival is 0
    double standard_error = 0;     // S * sqrt(greenwood); 0 once survival is 0
    std::optional<Limits> limits;  // 95 %; none once survival is 0
};

// A quantile with its 95 % limits; an empty part is open: not reached by the curve, or without upper limit.
struct Quantile {
    std::optional<double> days;
    std::optional<double> lower;
    std::optional<double> upper;
};

class SurvivalCurve {
public:
    // The curve of nobody: S = 1 everywhere.
    SurvivalCurve() = default;

    // O(n log n). Precondition: all days finite and >= 0.
    static SurvivalCurve of(std::span<const Wait> waits);

    // Event times in ascending order.
    const std::vector<SurvivalStep>& steps() const { return steps_; }
    std::size_t persons() const { return persons_; }
    std::size_t events() const { return events_; }

    // S(t): the share not there after t days. O(log n), as all below.
    double survival_at(double days) const;
    // u(t) = 1 - S(t): the share of those who started that had got there by now.
    double reached_by(double days) const { return 1.0 - survival_at(days); }

    // The time by which the share q has got there, 0 < q < 1; 0.5 is the median. The first time with S <= 1 - q; where
    // S equals 1 - q (within 1e-9) up to the next event time, the middle of the two.
    Quantile quantile(double q) const;

private:
    const SurvivalStep* step_at(double days) const;

    std::vector<SurvivalStep> steps_;
    std::size_t persons_ = 0;
    std::size_t events_ = 0;
};

}  // namespace ladderline::domain
