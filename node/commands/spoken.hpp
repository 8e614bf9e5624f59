#pragma once
// Letters as they are heard and written down.

#include <string>
#include <string_view>

#include "protocol/base/result.hpp"

namespace ladderline::node {

// "xy", "X Y", "x-ray yankee": exactly `count` letters, given in capitals. Words are those of the spelling alphabet,
// as people write them. bad_input for anything else.
Result<std::string> spoken_letters(std::string_view text, std::size_t count);

}  // namespace ladderline::node
