#include "node/domain/review/survival.hpp"

#include <algorithm>
#include <cmath>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr double z_95 = 1.959963984540054;  // 97.5 % point of the normal distribution
constexpr double same_level = 1e-9;

// First time at which the curve `level_of(step)` is at or below `target`; a step without a level ends the curve.
template <class LevelOf>
std::optional<double> crossing(const std::vector<SurvivalStep>& steps, double target, LevelOf level_of) {
    for (std::size_t k = 0; k < steps.size(); ++k) {
        const std::optional<double> level = level_of(steps[k]);
        if (!level) return {};
        if (*level > target + same_level) continue;
        const bool level_run = std::fabs(*level - target) <= same_level && k + 1 < steps.size();
        return level_run ? (steps[k].days + steps[k + 1].days) / 2 : steps[k].days;
    }
    return {};
}

// 95 % limits of a share p < 1 with relative standard deviation sqrt(relative_variance), by the log-log transform;
// none for 0.
std::optional<Limits> log_log_limits(double p, double relative_variance) {
    if (p <= 0) return {};
    const double spread = z_95 * std::sqrt(relative_variance) / std::fabs(std::log(p));
    return Limits{std::pow(p, std::exp(spread)), std::pow(p, std::exp(-spread))};
}

}  // namespace

SurvivalCurve SurvivalCurve::of(std::span<const Wait> waits) {
    SurvivalCurve out;
    std::vector<Wait> sorted(waits.begin(), waits.end());
    for (const Wait& wait : sorted) ENSURE(std::isfinite(wait.days) && wait.days >= 0);
    std::sort(sorted.begin(), sorted.end(), [](const Wait& a, const Wait& b) { return a.days < b.days; });
    out.persons_ = sorted.size();

    double survival = 1;
    double greenwood = 0;
    for (std::size_t k = 0; k < sorted.size();) {
        SurvivalStep step;
        step.days = sorted[k].days;
        step.at_risk = sorted.size() - k;
        for (; k < sorted.size() && sorted[k].days == step.days; ++k) step.events += sorted[k].reached ? 1 : 0;
        if (step.events == 0) continue;
        const auto n = static_cast<double>(step.at_risk);
        const auto d = static_cast<double>(step.events);
        const bool all_gone = step.events == step.at_risk;
        survival = all_gone ? 0.0 : survival * (1.0 - d / n);
        greenwood = all_gone ? std::numeric_limits<double>::infinity() : greenwood + d / (n * (n - d));
        step.survival = survival;
        step.greenwood = greenwood;
        step.standard_error = all_gone ? 0.0 : survival * std::sqrt(greenwood);
        step.limits = log_log_limits(survival, greenwood);
        out.events_ += step.events;
        out.steps_.push_back(step);
    }
    return out;
}

const SurvivalStep* SurvivalCurve::step_at(double days) const {
    const auto after = std::upper_bound(steps_.begin(), steps_.end(), days,
                                        [](double t, const SurvivalStep& step) { return t < step.days; });
    return after == steps_.begin() ? nullptr : &*std::prev(after);
}

double SurvivalCurve::survival_at(double days) const {
    const SurvivalStep* step = step_at(days);
    return step == nullptr ? 1.0 : step->survival;
}

Quantile SurvivalCurve::quantile(double q) const {
    ENSURE(q > 0 && q < 1);
    const double target = 1.0 - q;
    Quantile out;
    out.days = crossing(steps_, target, [](const SurvivalStep& s) { return std::optional<double>{s.survival}; });
    out.lower = crossing(steps_, target, [](const SurvivalStep& s) {
        return s.limits ? std::optional<double>{s.limits->lower} : std::nullopt;
    });
    out.upper = crossing(steps_, target, [](const SurvivalStep& s) {
        return s.limits ? std::optional<double>{s.limits->upper} : std::nullopt;
    });
    return out;
}

}  // namespace ladderline::domain
