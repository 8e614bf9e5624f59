#pragma once
// Words for whoever sits at a terminal.

#include <cstdio>
#include <string_view>

namespace ladderline::node {

// Written as it is, or, where `to` is a terminal, with long lines broken between words. An answer in JSON stays whole.
void write_words(std::FILE* to, std::string_view text);

}  // namespace ladderline::node
