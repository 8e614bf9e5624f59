#pragma once
// Which of several editions of one question pool counts on a day.

#include <optional>
#include <vector>

#include "protocol/base/time.hpp"

namespace ladderline::domain {

// A bound that is not printed does not bind. Both days belong to the span.
struct EditionSpan {
    std::optional<Day> first;
    std::optional<Day> last;
};

// Index of the edition that an examination on that day draws from: of those in force the one that began last; if none
// is, the first that is still to come, else the one that ended last. Expects at least one.
std::size_t edition_for(const std::vector<EditionSpan>& editions, Day day);

}  // namespace ladderline::domain
