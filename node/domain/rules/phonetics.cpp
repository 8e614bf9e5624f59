#include "node/domain/rules/phonetics.hpp"

#include <array>

namespace ladderline::domain {
namespace {

constexpr std::array<std::string_view, 26> letters{
    "Alfa",    "Bravo", "Charlie", "Delta",  "Echo",     "Foxtrot", "Golf",   "Hotel",  "India",
    "Juliett", "Kilo",  "Lima",    "Mike",   "November", "Oscar",   "Papa",   "Quebec", "Romeo",
    "Sierra",  "Tango", "Uniform", "Victor", "Whiskey",  "X-ray",   "Yankee", "Zulu"};
constexpr std::array<std::string_view, 10> figures{"Zero", "One", "Two",   "Three", "Four",
                                                   "Five", "Six", "Seven", "Eight", "Nine"};

}  // namespace

std::string_view spelling_word(char c) {
    if (c >= 'A' && c <= 'Z') return letters[static_cast<std::size_t>(c - 'A')];
    if (c >= 'a' && c <= 'z') return letters[static_cast<std::size_t>(c - 'a')];
    if (c >= '0' && c <= '9') return figures[static_cast<std::size_t>(c - '0')];
    return c == '/' ? "Stroke" : std::string_view{};
}

std::vector<std::string_view> spell_out(std::string_view call) {
    std::vector<std::string_view> out;
    for (const char c : call) {
        if (const std::string_view word = spelling_word(c); !word.empty()) out.push_back(word);
    }
    return out;
}

std::string spelling_of(std::string_view call) {
    std::string out;
    for (const std::string_view word : spell_out(call)) {
        if (!out.empty()) out += ' ';
        out += word;
    }
    return out;
}

}  // namespace ladderline::domain
