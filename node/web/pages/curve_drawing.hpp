#pragma once
// Curves of how many got there by when, with the same as a table beside them.

#include "node/commands/club_numbers.hpp"
#include "node/web/html.hpp"

namespace ladderline::node::web {

// Steps from 0 to 100 % over days; one line a cohort, told apart by its dashes and its name. Below it, by cohort, how
// many were still waiting (fewer than five is said so). Empty if no cohort has a curve.
Html curve_drawing(const std::string& title, const std::vector<Cohort>& cohorts);

}  // namespace ladderline::node::web
