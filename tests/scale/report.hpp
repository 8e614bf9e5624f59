#pragma once
// The report: one page with its plots, which is the same for the same seed, and one page of what was measured in time.

#include <map>
#include <string>

#include "tests/scale/experiment.hpp"

namespace ladderline::scale {

// File name and text.
using ReportFiles = std::map<std::string, std::string>;

ReportFiles report_of(const Outcome& outcome);
// `machine` in words.
std::string measured_page(const Outcome& outcome, const Work& work, const std::string& machine);

}  // namespace ladderline::scale
