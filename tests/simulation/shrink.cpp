#include "tests/simulation/shrink.hpp"

#include <algorithm>

namespace ladderline::simulation {
namespace {

// Leaves out `count` steps from `at` on.
Plan without(const Plan& plan, std::size_t at, std::size_t count) {
    Plan out = plan;
    const auto begin = out.steps.begin() + static_cast<std::ptrdiff_t>(at);
    out.steps.erase(begin, begin + static_cast<std::ptrdiff_t>(std::min(count, out.steps.size() - at)));
    return out;
}

}  // namespace

Plan shrink(Plan plan, const std::function<bool(const Plan&)>& fails, std::size_t tries) {
    for (std::size_t size = (plan.steps.size() + 1) / 2; size > 0 && tries > 0;) {
        bool smaller = false;
        for (std::size_t at = 0; at < plan.steps.size() && tries > 0;) {
            Plan less = without(plan, at, size);
            --tries;
            if (fails(less)) {
                plan = std::move(less);
                smaller = true;
            } else {
                at += size;
            }
        }
        if (size == 1 && !smaller) break;
        if (size > 1) size = (size + 1) / 2;
        if (size == 1 && smaller) continue;
    }
    return plan;
}

}  // namespace ladderline::simulation
