#include "node/commands/chance_words.hpp"

#include <cmath>

namespace ladderline::node {

std::string chance_words(double chance) {
    const long hundredths = std::lround(chance * 100);
    if (hundredths >= 100) return "more than 99 %";
    if (hundredths <= 0) return "less than 1 %";
    return std::to_string(hundredths) + " %";
}

}  // namespace ladderline::node
