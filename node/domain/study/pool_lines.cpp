#include "node/domain/study/pool_lines.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

#include "protocol/base/bytes.hpp"

namespace ladderline::domain::pool_lines {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
constexpr std::string_view no_break_space = "\xC2\xA0";
constexpr std::array<std::string_view, 5> dashes = {"-", "\xE2\x80\x90", "\xE2\x80\x91", "\xE2\x80\x93",
                                                    "\xE2\x80\x94"};  // hyphens, en dash, em dash

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
bool is_upper(char c) {
    return c >= 'A' && c <= 'Z';
}
char lower(char c) {
    return is_upper(c) ? static_cast<char>(c - 'A' + 'a') : c;
}
bool is_word(char c) {
    return is_digit(c) || (lower(c) >= 'a' && lower(c) <= 'z');
}

std::string lower_case(std::string_view text) {
    std::string out(text);
    std::transform(out.begin(), out.end(), out.begin(), lower);
    return out;
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    return text;
}

// Length of the dash at the front, 0 if there is none.
std::size_t dash_length(std::string_view text) {
    for (const std::string_view dash : dashes) {
        if (text.starts_with(dash)) return dash.size();
    }
    return 0;
}

// One line of text without its end; white space is made single blanks.
std::string tidy(std::string_view raw) {
    std::string out;
    for (std::size_t i = 0; i < raw.size();) {
        if (raw.substr(i).starts_with(no_break_space)) {
            if (!out.empty() && out.back() != ' ') out += ' ';
            i += no_break_space.size();
        } else if (raw[i] == ' ' || raw[i] == '\t' || raw[i] == '\v') {
            if (!out.empty() && out.back() != ' ') out += ' ';
            i += 1;
        } else {
            out += raw[i];
            i += 1;
        }
    }
    if (!out.empty() && out.back() == ' ') out.pop_back();
    return out;
}

bool has_control(std::string_view text) {
    return std::any_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 32 || c == 127; });
}

// "... Element N Question Pool": N, or nothing.
std::optional<int> titled_element(std::string_view text) {
    constexpr std::string_view tail = " question pool";
    const std::string low = lower_case(text);
    if (!low.ends_with(tail)) return std::nullopt;
    const std::string_view head = std::string_view(low).substr(0, low.size() - tail.size());
    constexpr std::string_view word = "element ";
    if (head.size() < word.size() + 1 || !is_digit(head.back())) return std::nullopt;
    const std::string_view before = head.substr(0, head.size() - 1);
    if (!before.ends_with(word)) return std::nullopt;
    if (before.size() > word.size() && before[before.size() - word.size() - 1] != ' ') return std::nullopt;
    return head.back() - '0';
}

// A sentence of an errata sheet may happen to end like a title; a title is followed by its dates or a heading.
bool followed_like_a_title(const std::vector<Line>& lines, std::size_t index) {
    for (std::size_t i = index + 1; i < lines.size(); ++i) {
        if (lines[i].text.empty()) continue;
        return effective_part(lines[i].text).has_value() || subelement_start(lines[i].text).has_value();
    }
    return false;
}

}  // namespace

Error line_error(int number, const std::string& what) {
    return {Fault::bad_input, "Line " + std::to_string(number) + " of the pool: " + what +
                                  "; nothing was imported, put the line right and read the file again."};
}

Result<std::vector<Line>> split(std::string_view text) {
    if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
    std::vector<Line> lines;
    int number = 1;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find_first_of("\n\r\f"), text.size());
        const std::string_view raw = text.substr(0, end);
        if (!is_utf8(raw)) return line_error(number, "it is not UTF-8 text");
        Line line{number, tidy(raw)};
        if (has_control(line.text)) return line_error(number, "it holds a control character");
        lines.push_back(std::move(line));
        if (end == text.size()) break;
        const bool page_break = text[end] == '\f';
        const bool pair = text.substr(end).starts_with("\r\n");
        text.remove_prefix(end + (pair ? 2 : 1));
        if (!page_break) number += 1;
    }
    return lines;
}

std::optional<Title> find_title(const std::vector<Line>& lines) {
    std::optional<Title> plain;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const std::optional<int> element = titled_element(lines[i].text);
        if (!element) continue;
        if (followed_like_a_title(lines, i)) return Title{i, *element};
        const std::string low = lower_case(lines[i].text);
        if (!plain && low.starts_with("fcc element ")) plain = Title{i, *element};
    }
    return plain;
}

bool is_end_mark(std::string_view text) {
    return text.starts_with("~~~") && lower_case(text).find("end of question pool") != std::string::npos;
}

bool is_question_end(std::string_view text) {
    return text.size() >= 2 && text.find_first_not_of('~') == std::string_view::npos;
}

std::optional<SubelementStart> subelement_start(std::string_view text) {
    constexpr std::string_view word = "subelement ";
    if (!lower_case(text).starts_with(word)) return std::nullopt;
    const std::string_view rest = text.substr(word.size());
    if (rest.size() < 2 || !is_upper(rest[0]) || !is_digit(rest[1])) return std::nullopt;
    if (rest.size() > 2 && is_word(rest[2])) return std::nullopt;
    return SubelementStart{std::string(rest.substr(0, 2)), std::string(without_leading_dash(rest.substr(2)))};
}

std::optional<GroupStart> group_start(std::string_view text) {
    if (text.size() < 4 || !is_upper(text[0]) || !is_digit(text[1]) || !is_upper(text[2])) return std::nullopt;
    const std::string_view rest = text.substr(3);
    if (rest.front() != ' ' && rest.front() != ':' && dash_length(rest) == 0) return std::nullopt;
    return GroupStart{std::string(text.substr(0, 3)), std::string(without_leading_dash(rest))};
}

bool QuestionStart::is_stub() const {
    const std::string low = lower_case(rest);
    return low.find("deleted") != std::string::npos || low.find("withdrawn") != std::string::npos ||
           low.find("removed") != std::string::npos;
}

std::optional<QuestionStart> question_start(std::string_view text) {
    if (text.size() < 5 || !is_upper(text[0]) || !is_digit(text[1]) || !is_upper(text[2])) return std::nullopt;
    if (!is_digit(text[3]) || !is_digit(text[4])) return std::nullopt;
    if (text.size() > 5 && is_word(text[5])) return std::nullopt;
    return QuestionStart{std::string(text.substr(0, 5)), std::string(trimmed(text.substr(5)))};
}

std::optional<int> choice_start(std::string_view text) {
    if (text.size() < 2 || text[1] != '.' || text[0] < 'A' || text[0] > 'D') return std::nullopt;
    if (text.size() > 3 && is_word(text[2]) && text[3] == '.') return std::nullopt;  // a wrapped "A.C. voltage"
    return text[0] - 'A';
}

bool is_page_number(std::string_view text) {
    return !text.empty() && text.size() <= 4 && std::all_of(text.begin(), text.end(), is_digit);
}

std::optional<std::string> effective_part(std::string_view text) {
    constexpr std::string_view word = "effective";
    if (!lower_case(text).starts_with(word)) return std::nullopt;
    const std::string_view rest = text.substr(word.size());
    if (rest.empty() || is_word(rest.front())) return std::nullopt;
    return std::string(without_leading_dash(rest));
}

std::string figure_named(std::string_view text) {
    constexpr std::string_view word = "figure ";
    const std::string low = lower_case(text);
    for (std::size_t at = low.find(word); at != std::string::npos; at = low.find(word, at + 1)) {
        if (at > 0 && is_word(low[at - 1])) continue;
        std::string_view rest = text.substr(at + word.size());
        if (rest.empty() || !is_upper(rest.front())) continue;
        std::string name(1, rest.front());
        rest.remove_prefix(1);
        if (!rest.empty() && is_digit(rest.front())) {
            name += rest.front();
            rest.remove_prefix(1);
        }
        const std::size_t dash = dash_length(rest);
        if (dash == 0) continue;
        rest.remove_prefix(dash);
        const std::size_t digits = std::min(
            rest.size(), static_cast<std::size_t>(std::find_if_not(rest.begin(), rest.end(), is_digit) - rest.begin()));
        if (digits == 0) continue;
        return name + "-" + std::string(rest.substr(0, digits));
    }
    return {};
}

void append_wrapped(std::string& text, std::string_view line) {
    if (text.empty()) {
        text = line;
        return;
    }
    const bool broken = text.size() >= 2 && text.back() == '-' && is_word(text[text.size() - 2]);
    const std::string low = lower_case(line);
    const bool hanging = low.starts_with("and ") || low.starts_with("or ") || low.starts_with("to ");
    if (!broken || hanging) text += ' ';
    text += line;
}

std::string_view without_leading_dash(std::string_view text) {
    for (;;) {
        const std::size_t dash = dash_length(text);
        if (dash > 0) {
            text.remove_prefix(dash);
        } else if (!text.empty() && (text.front() == ' ' || text.front() == ':')) {
            text.remove_prefix(1);
        } else {
            return text;
        }
    }
}

}  // namespace ladderline::domain::pool_lines
