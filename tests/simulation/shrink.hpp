#pragma once
// A smaller plan that goes wrong in the same way.

#include <functional>

#include "tests/simulation/plan.hpp"

namespace ladderline::simulation {

// `fails`: runs a plan and says whether it fails as the first did. At most `tries` runs.
Plan shrink(Plan plan, const std::function<bool(const Plan&)>& fails, std::size_t tries);

}  // namespace ladderline::simulation
