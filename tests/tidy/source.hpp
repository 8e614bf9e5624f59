#pragma once
// One file of the tree, and its code with everything that only looks like code blanked out.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace ladderline::tidy {

struct Source {
    std::string path;  // from the root of the tree, with '/'
    std::string text;  // as it is on disk
    std::string code;  // C++: same length, comments and contents of literals are blanks; else = text
    std::vector<std::size_t> line_starts;  // offset of each line

    std::size_t line_of(std::size_t offset) const;    // 1-based
    std::string_view line(std::size_t number) const;  // 1-based, without its newline
    std::size_t line_count() const;
    bool below(std::string_view folder) const { return path.starts_with(folder); }
    bool ends_with(std::string_view suffix) const { return path.ends_with(suffix); }
    bool is_cpp() const { return ends_with(".cpp") || ends_with(".hpp") || ends_with(".h"); }
    bool is_header() const { return ends_with(".hpp") || ends_with(".h"); }
};

Source make_source(std::string path, std::string text);

// C++ text with comments and the contents of string and character literals replaced by blanks; newlines stay.
std::string blank_literals(std::string_view text);
// Further blanks preprocessor directives with their continuation lines: braces in macros do not count.
std::string blank_directives(std::string_view code);

bool is_word_char(char c);
std::string_view trimmed(std::string_view text);
// Offset of `word` as a whole word at or after `from`, or npos. "Whole" binds only at ends that are word characters.
std::size_t find_word(std::string_view text, std::string_view word, std::size_t from = 0);

}  // namespace ladderline::tidy
