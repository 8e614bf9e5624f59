#include "node/domain/review/wait_ahead.hpp"

#include <algorithm>
#include <cmath>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr double same_level = 1e-9;

double greenwood_at(const SurvivalCurve& curve, double days) {
    double out = 0;
    for (const SurvivalStep& step : curve.steps()) {
        if (step.days > days) break;
        out = step.greenwood;
    }
    return out;
}

}  // namespace

std::optional<StillWaiting> still_waiting(const SurvivalCurve& curve, double waited, double further) {
    const double now = curve.survival_at(waited);
    if (now <= 0) return {};
    StillWaiting out;
    out.share = curve.survival_at(waited + further) / now;
    if (out.share <= 0) return out;
    const double relative_variance = greenwood_at(curve, waited + further) - greenwood_at(curve, waited);
    out.standard_error = out.share * std::sqrt(relative_variance);
    out.limits = log_log_limits(out.share, relative_variance);
    return out;
}

std::optional<double> median_further_wait(const SurvivalCurve& curve, double waited) {
    const double half = curve.survival_at(waited) / 2;
    if (half <= 0) return {};
    for (const SurvivalStep& step : curve.steps()) {
        if (step.days > waited && step.survival <= half + same_level) return step.days - waited;
    }
    return {};
}

double mean_wait_within(const SurvivalCurve& curve, double until) {
    ENSURE(std::isfinite(until) && until >= 0);
    double area = 0;
    double from = 0;
    double level = 1;
    for (const SurvivalStep& step : curve.steps()) {
        if (step.days >= until) break;
        area += level * (step.days - from);
        from = step.days;
        level = step.survival;
    }
    return area + level * (until - from);
}

}  // namespace ladderline::domain
