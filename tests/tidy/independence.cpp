// The project speaks of itself alone, names nobody's station, and leaves no note of unfinished work.

#include "tests/tidy/rules.hpp"

namespace ladderline::tidy {
namespace {

constexpr std::string_view published_mark = "call-sign: published";

bool is_upper(char c) {
    return c >= 'A' && c <= 'Z';
}
bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// The blocks of the United States: AA to AL, K, N and W (ITU Radio Regulations, Appendix 42), a digit, 1 to 3 letters.
bool looks_like_call_sign(std::string_view token) {
    if (token.size() < 3 || token.size() > 6) return false;
    std::size_t at = 1;
    if (token[0] == 'A') {
        if (token[1] < 'A' || token[1] > 'L') return false;
        at = 2;
    } else if (token[0] == 'K' || token[0] == 'N' || token[0] == 'W') {
        at = is_upper(token[1]) ? 2 : 1;
    } else {
        return false;
    }
    if (!is_digit(token[at])) return false;
    const std::string_view suffix = token.substr(at + 1);
    if (suffix.empty() || suffix.size() > 3) return false;
    for (const char c : suffix) {
        if (!is_upper(c)) return false;
    }
    return true;
}

// Two letters, digit, three letters with X first: X in that place is for experimental stations, so no amateur has one.
bool is_demo_call_sign(std::string_view token) {
    if (token.size() != 6 || token[3] != 'X') return false;
    if (token[2] != '0' && token[2] != '1') return false;
    if (token[0] == 'K') return true;
    return token[0] == 'W' && std::string_view("CKMRT").find(token[1]) == std::string_view::npos;
}

void check_call_signs(const Source& source, Findings& out) {
    if (source.below("tests/outside/") || source.below("node/rules/")) return;
    for (std::size_t number = 1; number <= source.line_count(); ++number) {
        const std::string_view line = source.line(number);
        if (line.find(published_mark) != std::string_view::npos) continue;
        for (std::size_t i = 0; i < line.size();) {
            std::size_t end = i;
            while (end < line.size() && is_word_char(line[end])) ++end;
            const std::string_view token = line.substr(i, end - i);
            i = end + 1;
            if (!looks_like_call_sign(token) || is_demo_call_sign(token)) continue;
            out.push_back({source.path, number, "call_sign",
                           std::string(token) + " may be somebody's; demo call signs look like KD0XAA or WB1XMN."});
        }
    }
}

void check_words(const Source& source, const std::vector<std::string>& words, Findings& out) {
    if (source.path == "tests/tidy/words.txt") return;
    for (const std::string& word : words) {
        std::size_t said_on = 0;
        for (std::size_t at = find_word(source.text, word); at != std::string::npos;
             at = find_word(source.text, word, at + 1)) {
            const std::size_t line = source.line_of(at);
            if (line != said_on) out.push_back({source.path, line, "word", word + " does not belong in the tree."});
            said_on = line;
        }
    }
}

}  // namespace

void check_independence(const Tree& tree, Findings& out) {
    for (const Source& source : tree.sources) {
        check_call_signs(source, out);
        check_words(source, tree.words, out);
    }
}

}  // namespace ladderline::tidy
