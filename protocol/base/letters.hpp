#pragma once

#include <string>
#include <string_view>

namespace ladderline {

// A to Z in small letters; every other byte stays as it is, so that UTF-8 stays whole.
std::string lower(std::string_view text);

}  // namespace ladderline
