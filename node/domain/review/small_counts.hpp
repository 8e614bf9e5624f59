#pragma once
// How a count of people is printed where others may read it.

#include <string>

namespace ladderline::domain {

// A group below five gives people away.
inline constexpr int group_min = 5;

// Below five, none at all included ("none of six" tells of all six): "fewer than five"; else the number.
// Precondition: n >= 0.
std::string fewer_than_five(int n);

}  // namespace ladderline::domain
