#pragma once
// The lines of a published pool and what each of them looks like; used by the pool reader alone.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"

namespace ladderline::domain::pool_lines {

// A line without the white space around it, runs of white space inside made one blank. A page break ends a line, but
// is not counted, so `number` is what a text editor shows.
struct Line {
    int number = 0;
    std::string text;
};

// "Line 12 of the pool: <what>; nothing was imported, ..." as bad_input.
Error line_error(int number, const std::string& what);

// Takes LF, CRLF and CR, form feeds, a byte order mark and no-break spaces; anything that is not UTF-8, and control
// characters, are bad_input.
Result<std::vector<Line>> split(std::string_view text);

// Index of the title line that the pool proper starts with: "... Element N Question Pool", not the syllabus.
struct Title {
    std::size_t index = 0;
    int element = 0;
};
std::optional<Title> find_title(const std::vector<Line>& lines);

bool is_end_mark(std::string_view text);
bool is_question_end(std::string_view text);
// A heading's "SUBELEMENT T1" and what follows it.
struct SubelementStart {
    std::string id;
    std::string rest;
};
std::optional<SubelementStart> subelement_start(std::string_view text);
// "T1A Purpose" or "T1A – Purpose": id and title.
struct GroupStart {
    std::string id;
    std::string title;
};
std::optional<GroupStart> group_start(std::string_view text);
// A line that begins with a question id: the id and the rest of the line without blanks around it.
struct QuestionStart {
    std::string id;
    std::string rest;

    bool has_key() const { return !rest.empty() && rest.front() == '('; }
    bool is_stub() const;  // "Question Deleted ..."
};
std::optional<QuestionStart> question_start(std::string_view text);
// "B. text" as 1; the blank is missing in some published lines. "A.C. voltage" is none.
std::optional<int> choice_start(std::string_view text);
bool is_page_number(std::string_view text);

// What follows "Effective", if the line begins with it.
std::optional<std::string> effective_part(std::string_view text);
// "G7-1" if the text speaks of "figure G7-1"; empty otherwise ("noise figure").
std::string figure_named(std::string_view text);

// Adds a wrapped line: with a blank, or without one where the line was broken at a hyphen.
void append_wrapped(std::string& text, std::string_view line);

// Blanks, hyphens, dashes and colons at the front taken off.
std::string_view without_leading_dash(std::string_view text);

}  // namespace ladderline::domain::pool_lines
