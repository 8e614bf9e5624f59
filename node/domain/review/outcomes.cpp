#include "node/domain/review/outcomes.hpp"

#include <algorithm>
#include <cmath>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

std::size_t place_of(End end) {
    ENSURE(end != End::open);
    return end == End::reached ? 0 : 1;
}

}  // namespace

OutcomeCurves OutcomeCurves::of(std::span<const Outcome> outcomes) {
    OutcomeCurves out;
    std::vector<Outcome> sorted(outcomes.begin(), outcomes.end());
    for (const Outcome& one : sorted) ENSURE(std::isfinite(one.days) && one.days >= 0);
    std::sort(sorted.begin(), sorted.end(), [](const Outcome& a, const Outcome& b) { return a.days < b.days; });
    out.persons_ = sorted.size();
    OutcomeStep last;
    for (std::size_t k = 0; k < sorted.size();) {
        OutcomeStep step;
        step.days = sorted[k].days;
        step.at_risk = sorted.size() - k;
        for (; k < sorted.size() && sorted[k].days == step.days; ++k) {
            if (sorted[k].end != End::open) step.ends[place_of(sorted[k].end)] += 1;
        }
        const std::size_t ends = step.ends[0] + step.ends[1];
        if (ends == 0) continue;
        const auto n = static_cast<double>(step.at_risk);
        step.still_before = last.still;
        step.still = ends == step.at_risk ? 0 : last.still * (1 - static_cast<double>(ends) / n);
        for (std::size_t e = 0; e < 2; ++e) {
            step.share[e] = last.share[e] + step.still_before * static_cast<double>(step.ends[e]) / n;
        }
        out.steps_.push_back(step);
        last = step;
    }
    return out;
}

const OutcomeStep* OutcomeCurves::step_at(double days) const {
    const auto after = std::upper_bound(steps_.begin(), steps_.end(), days,
                                        [](double t, const OutcomeStep& step) { return t < step.days; });
    return after == steps_.begin() ? nullptr : &*std::prev(after);
}

double OutcomeCurves::still_at(double days) const {
    const OutcomeStep* step = step_at(days);
    return step == nullptr ? 1 : step->still;
}

double OutcomeCurves::share_at(End end, double days) const {
    const OutcomeStep* step = step_at(days);
    return step == nullptr ? 0 : step->share[place_of(end)];
}

}  // namespace ladderline::domain
