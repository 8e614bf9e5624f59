#pragma once
// Function bodies found by matching braces; exact enough for code that clang-format has been over.

#include <cstddef>
#include <string>
#include <vector>

#include "tests/tidy/source.hpp"

namespace ladderline::tidy {

struct Function {
    std::string name;   // the word before the first parenthesis: also TEST_CASE and other macros
    std::size_t head;   // offset of the first character of the head
    std::size_t open;   // offset of the opening brace
    std::size_t close;  // offset of the closing brace
};

std::vector<Function> functions_of(const Source& source);

// Offset of the bracket that closes the one at `open`, or npos. Looks only at brackets of the same shape.
std::size_t matching(std::string_view code, std::size_t open);

}  // namespace ladderline::tidy
