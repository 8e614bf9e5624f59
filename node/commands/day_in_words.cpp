#include "node/commands/day_in_words.hpp"

#include "node/domain/licence/clocks.hpp"
#include "protocol/base/result.hpp"

namespace ladderline::node {

std::optional<Day> day_in(std::string_view words) {
    constexpr std::size_t length = 10;
    for (std::size_t at = 0; at + length <= words.size(); ++at) {
        if (const auto day = parse_day(words.substr(at, length))) return day.value();
    }
    return std::nullopt;
}

Day notice_day(Day ticked, std::string_view evidence) {
    const auto written = day_in(evidence);
    const Day oldest = ticked + -domain::shipped_clocks().certificate_doubtful_days;
    return written && *written >= oldest && *written < ticked ? *written : ticked;
}

}  // namespace ladderline::node
