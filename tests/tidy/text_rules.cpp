// Blanks that nobody sees, and the last newline.

#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {

void check_text(const Tree& tree, Findings& out) {
    for (const Source& source : tree.sources) {
        const bool tabs_belong = source.ends_with(".tsv");
        for (std::size_t line = 1; line <= source.line_count(); ++line) {
            const std::string_view text = source.line(line);
            if (!tabs_belong && text.find('\t') != std::string_view::npos) {
                out.push_back({source.path, line, "tab", "a tab; indent with blanks."});
            }
            // A last field of a table may be empty: the tab before it is not a trailing blank.
            const std::string_view blanks = tabs_belong ? " \r" : " \t\r";
            if (!text.empty() && blanks.find(text.back()) != std::string_view::npos) {
                out.push_back({source.path, line, "trailing_blank", "the line ends in a blank."});
            }
        }
        if (!source.text.empty() && source.text.back() != '\n') {
            out.push_back({source.path, source.line_count(), "final_newline", "the last line has no newline."});
        }
    }
}

}  // namespace ladderline::tidy
