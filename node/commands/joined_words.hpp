#pragma once
// The sentence that page and command line share.

#include <string_view>

namespace ladderline::node {

// What is said to whoever has joined.
inline constexpr std::string_view joined_words =
    "You have joined. Names and news arrive while both nodes run; 'ladderline sees' shows who is there.";

}  // namespace ladderline::node
