#include "node/domain/study/edition_choice.hpp"

#include <limits>
#include <tuple>

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

enum class Rank : std::uint8_t { over, to_come, in_force };

Rank rank_of(const EditionSpan& span, Day day) {
    if (span.last && *span.last < day) return Rank::over;
    if (span.first && day < *span.first) return Rank::to_come;
    return Rank::in_force;
}

// The greater counts.
std::tuple<Rank, std::int64_t> weight_of(const EditionSpan& span, Day day) {
    constexpr std::int64_t long_ago = std::numeric_limits<std::int32_t>::min();
    const Rank rank = rank_of(span, day);
    const std::int64_t first = span.first ? span.first->number : long_ago;
    switch (rank) {
        case Rank::over:
            return {rank, span.last->number};
        case Rank::to_come:
            return {rank, -first};
        case Rank::in_force:
            break;
    }
    return {rank, first};
}

}  // namespace

std::size_t edition_for(const std::vector<EditionSpan>& editions, Day day) {
    ENSURE(!editions.empty());
    std::size_t best = 0;
    for (std::size_t i = 1; i < editions.size(); ++i) {
        if (weight_of(editions[i], day) > weight_of(editions[best], day)) best = i;
    }
    return best;
}

}  // namespace ladderline::domain
