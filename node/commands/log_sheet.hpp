#pragma once
// A sheet of paper to keep a log on while no machine is at hand, in black on white, and typed back in as lines.

#include <string>
#include <vector>

namespace ladderline::node {

// Column titles, in the order in which log_lines reads a line.
std::vector<std::string> sheet_columns();
inline constexpr int sheet_rows = 20;  // as many as fit on A4 and on letter, 8 mm high
// How to fill it in and type it back in, a sentence a line.
std::vector<std::string> sheet_help();

// For a terminal's printer: lines of at most 96 characters.
std::vector<std::string> sheet_lines_blank(const std::string& call_sign);
// A page for a browser's printer.
std::string sheet_page_blank(const std::string& call_sign);

}  // namespace ladderline::node
