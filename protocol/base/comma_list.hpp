#pragma once
// Lists as a person types and reads them.

#include <string>
#include <string_view>
#include <vector>

namespace ladderline {

// "2m, 70cm"
std::string joined(const std::vector<std::string>& words);
// Its reverse, as a person types it: blanks around a word and empty words do not count.
std::vector<std::string> parted(std::string_view text);

}  // namespace ladderline
