#pragma once
// Text for a screen: long lines are broken between words, not within them as a terminal does.

#include <string>
#include <string_view>

namespace ladderline::node::cli {

// `columns`: how wide the screen is. What follows a broken line stands below the text of its first part: below the
// second column where there are two blanks or more between two, else as far in as the line began. A word that is too
// long for a line is left whole, so that codes and addresses can be copied.
std::string wrapped(std::string_view text, std::size_t columns);

}  // namespace ladderline::node::cli
