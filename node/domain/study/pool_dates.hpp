#pragma once
// Dates as pools print them; used by the pool reader alone.

#include <optional>
#include <string_view>
#include <utility>

#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain::pool_dates {

struct Span {
    std::optional<Day> first;
    std::optional<Day> last;
};

// The first two dates of the text, "7/01/2023" (month first) or "July 1, 2023". A date that does not exist, or a span
// that ends before it begins, is an error about line `number`.
Result<Span> read(std::string_view text, int number);

// "2023-2027" (hyphen or dash) anywhere in the text: both years, or nothing.
std::pair<std::optional<int>, std::optional<int>> year_span(std::string_view text);

}  // namespace ladderline::domain::pool_dates
