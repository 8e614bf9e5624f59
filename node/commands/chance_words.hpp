#pragma once
// A chance in hundredths, for people.

#include <string>

namespace ladderline::node {

// "85 %"; "more than 99 %" and "less than 1 %" where rounding would say certain or never.
std::string chance_words(double chance);

}  // namespace ladderline::node
