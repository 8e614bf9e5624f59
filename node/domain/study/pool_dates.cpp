#include "node/domain/study/pool_dates.hpp"

#include <algorithm>
#include <array>
#include <cstdio>
#include <string>
#include <vector>

#include "node/domain/study/pool_lines.hpp"

namespace ladderline::domain::pool_dates {
namespace {

constexpr std::array<std::string_view, 12> month_names = {"jan", "feb", "mar", "apr", "may", "jun",
                                                          "jul", "aug", "sep", "oct", "nov", "dec"};

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

// A run of digits (value), a run of letters (month, if it names one) or any other single byte.
struct Token {
    int value = -1;
    int month = 0;
    std::size_t length = 0;
    char mark = 0;
};

int month_named(std::string_view word) {
    if (word.size() < 3) return 0;
    std::string low(word.substr(0, 3));
    for (char& c : low) c = static_cast<char>(c | 0x20);
    const auto at = std::find(month_names.begin(), month_names.end(), low);
    return at == month_names.end() ? 0 : static_cast<int>(at - month_names.begin()) + 1;
}

std::vector<Token> tokens_of(std::string_view text) {
    std::vector<Token> tokens;
    while (!text.empty()) {
        const bool digits = is_digit(text.front());
        const bool letters = is_letter(text.front());
        std::size_t length = 1;
        while ((digits || letters) && length < text.size() &&
               (digits ? is_digit(text[length]) : is_letter(text[length]))) {
            length += 1;
        }
        const std::string_view word = text.substr(0, length);
        Token token;
        token.length = length;
        if (digits && length <= 4) token.value = std::stoi(std::string(word));
        if (letters) token.month = month_named(word);
        if (!digits && !letters) token.mark = word.front();
        if (token.mark != ' ' && token.mark != ',') tokens.push_back(token);
        text.remove_prefix(length);
    }
    return tokens;
}

struct Date {
    int year = 0;
    int month = 0;
    int day = 0;
};

// "7/01/2023" or "July 1, 2023" at token i.
std::optional<Date> date_at(const std::vector<Token>& tokens, std::size_t i) {
    const auto is_year = [&](std::size_t at) { return tokens[at].length == 4 && tokens[at].value >= 0; };
    if (i + 4 < tokens.size() && tokens[i].value >= 0 && tokens[i + 1].mark == '/' && tokens[i + 2].value >= 0 &&
        tokens[i + 3].mark == '/' && is_year(i + 4)) {
        return Date{tokens[i + 4].value, tokens[i].value, tokens[i + 2].value};
    }
    if (i + 2 < tokens.size() && tokens[i].month > 0 && tokens[i + 1].value >= 0 && is_year(i + 2)) {
        return Date{tokens[i + 2].value, tokens[i].month, tokens[i + 1].value};
    }
    return std::nullopt;
}

Result<Day> day_of(const Date& date) {
    std::array<char, 40> iso{};
    std::snprintf(iso.data(), iso.size(), "%04d-%02d-%02d", date.year, date.month, date.day);
    return parse_day(iso.data());
}

}  // namespace

Result<Span> read(std::string_view text, int number) {
    Span span;
    const std::vector<Token> tokens = tokens_of(text);
    for (std::size_t i = 0; i < tokens.size() && !span.last; ++i) {
        const std::optional<Date> date = date_at(tokens, i);
        if (!date) continue;
        const Result<Day> day = day_of(*date);
        if (!day) return pool_lines::line_error(number, "it names a date that does not exist");
        (span.first ? span.last : span.first) = day.value();
    }
    if (span.first && span.last && *span.last < *span.first) {
        return pool_lines::line_error(number, "the pool would end before it begins");
    }
    return span;
}

std::pair<std::optional<int>, std::optional<int>> year_span(std::string_view text) {
    const auto year_at = [&](std::size_t at) -> std::optional<int> {
        if (at + 4 > text.size() || !std::all_of(text.begin() + static_cast<std::ptrdiff_t>(at),
                                                 text.begin() + static_cast<std::ptrdiff_t>(at + 4), is_digit)) {
            return std::nullopt;
        }
        if ((at > 0 && is_digit(text[at - 1])) || (at + 4 < text.size() && is_digit(text[at + 4]))) return std::nullopt;
        return std::stoi(std::string(text.substr(at, 4)));
    };
    for (std::size_t at = 0; at + 9 <= text.size(); ++at) {
        const std::optional<int> first = year_at(at);
        if (!first) continue;
        const std::string_view rest = pool_lines::without_leading_dash(text.substr(at + 4));
        const std::size_t second_at = text.size() - rest.size();
        const std::optional<int> second = year_at(second_at);
        const bool dashed = text.substr(at + 4, second_at - at - 4).find_first_not_of(' ') != std::string_view::npos;
        if (second && dashed && *second > *first) return {first, second};
    }
    return {};
}

}  // namespace ladderline::domain::pool_dates
