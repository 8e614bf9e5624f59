#include "tests/tidy/source.hpp"

#include <algorithm>

namespace ladderline::tidy {
namespace {

// Writes blanks over [from, to) but keeps newlines.
void blank(std::string& out, std::size_t from, std::size_t to) {
    for (std::size_t i = from; i < std::min(to, out.size()); ++i) {
        if (out[i] != '\n') out[i] = ' ';
    }
}

std::size_t end_of_line_comment(std::string_view text, std::size_t at) {
    while (at < text.size() && (text[at] != '\n' || text[at - 1] == '\\')) ++at;
    return at;
}

// Offset of the closing quote of the literal whose opening quote is at `at`; an open literal ends with its line.
std::size_t end_of_literal(std::string_view text, std::size_t at) {
    const char quote = text[at];
    for (++at; at < text.size() && text[at] != quote && text[at] != '\n'; ++at) {
        if (text[at] == '\\') ++at;
    }
    return at;
}

// Offset of the closing quote of the raw literal whose opening quote is at `at`.
std::size_t end_of_raw_literal(std::string_view text, std::size_t at) {
    const std::size_t open = text.find('(', at);
    if (open == std::string_view::npos) return text.size();
    const std::string closing = ")" + std::string(text.substr(at + 1, open - at - 1)) + "\"";
    const std::size_t found = text.find(closing, open);
    return found == std::string_view::npos ? text.size() : found + closing.size() - 1;
}

// The word that ends just before `at`.
std::string_view word_before(std::string_view text, std::size_t at) {
    std::size_t start = at;
    while (start > 0 && is_word_char(text[start - 1])) --start;
    return text.substr(start, at - start);
}

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// 86'400'000: the quote stands inside a number, also after an earlier quote of the same number.
bool is_digit_separator(std::string_view text, std::size_t at) {
    std::size_t start = at;
    while (start > 0 && (is_word_char(text[start - 1]) || text[start - 1] == '\'')) --start;
    return start < at && is_digit(text[start]);
}

}  // namespace

bool is_word_char(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || is_digit(c) || c == '_';
}

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\n";
    const std::size_t first = text.find_first_not_of(blanks);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::size_t find_word(std::string_view text, std::string_view word, std::size_t from) {
    for (std::size_t at = text.find(word, from); at != std::string_view::npos; at = text.find(word, at + 1)) {
        const std::size_t end = at + word.size();
        const bool starts = !is_word_char(word.front()) || at == 0 || !is_word_char(text[at - 1]);
        const bool ends = !is_word_char(word.back()) || end == text.size() || !is_word_char(text[end]);
        if (starts && ends) return at;
    }
    return std::string_view::npos;
}

std::string blank_literals(std::string_view text) {
    std::string out(text);
    for (std::size_t i = 0; i < text.size(); ++i) {
        const std::string_view rest = text.substr(i);
        if (rest.starts_with("//")) {
            const std::size_t end = end_of_line_comment(text, i);
            blank(out, i, end);
            i = end;
        } else if (rest.starts_with("/*")) {
            const std::size_t found = text.find("*/", i + 2);
            const std::size_t end = found == std::string_view::npos ? text.size() : found + 2;
            blank(out, i, end);
            i = end - 1;
        } else if (text[i] == '"') {
            const std::string_view prefix = word_before(text, i);
            const bool raw = prefix == "R" || prefix == "u8R" || prefix == "uR" || prefix == "UR" || prefix == "LR";
            const std::size_t end = raw ? end_of_raw_literal(text, i) : end_of_literal(text, i);
            blank(out, i + 1, end);
            i = end;
        } else if (text[i] == '\'' && !is_digit_separator(text, i)) {
            const std::size_t end = end_of_literal(text, i);
            blank(out, i + 1, end);
            i = end;
        }
    }
    return out;
}

std::string blank_directives(std::string_view code) {
    std::string out(code);
    std::size_t start = 0;
    bool continued = false;
    while (start < code.size()) {
        const std::size_t end = std::min(code.find('\n', start), code.size());
        const std::string_view line = trimmed(code.substr(start, end - start));
        const bool directive = continued || line.starts_with('#');
        if (directive) blank(out, start, end);
        continued = directive && line.ends_with('\\');
        start = end + 1;
    }
    return out;
}

std::size_t Source::line_of(std::size_t offset) const {
    const auto after = std::upper_bound(line_starts.begin(), line_starts.end(), offset);
    return static_cast<std::size_t>(after - line_starts.begin());
}

std::size_t Source::line_count() const {
    return line_starts.size();
}

std::string_view Source::line(std::size_t number) const {
    const std::size_t start = line_starts[number - 1];
    return std::string_view(text).substr(start, text.find('\n', start) - start);
}

Source make_source(std::string path, std::string text) {
    Source source{std::move(path), std::move(text), {}, {}};
    source.code = source.is_cpp() ? blank_literals(source.text) : source.text;
    for (std::size_t start = 0; start < source.text.size();) {
        source.line_starts.push_back(start);
        start = std::min(source.text.find('\n', start), source.text.size() - 1) + 1;
    }
    return source;
}

}  // namespace ladderline::tidy
