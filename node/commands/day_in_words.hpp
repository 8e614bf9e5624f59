#pragma once
// A day that somebody wrote among other words, such as the evidence of an item.

#include <optional>
#include <string_view>

#include "protocol/base/time.hpp"

namespace ladderline::node {

// The first one written as 2026-11-25; empty: there is none.
std::optional<Day> day_in(std::string_view words);

// The day of the regulator's fee notice, by its ticked item: the ten days run from the notice, and whoever found it
// late in the junk mail names its day as evidence. The earlier of the two days; a day that is older than any
// certificate that counts belongs to something else.
Day notice_day(Day ticked, std::string_view evidence);

}  // namespace ladderline::node
