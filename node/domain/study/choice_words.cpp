#include "node/domain/study/choice_words.hpp"

#include <algorithm>
#include <cstddef>

namespace ladderline::domain::choice_words {
namespace {

constexpr std::string_view curly_apostrophe = "\xE2\x80\x99";

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

// Bytes above 127 count as letters, so that an accented word is one word.
bool is_word_byte(char c) {
    return (c >= '0' && c <= '9') || (lower(c) >= 'a' && lower(c) <= 'z') || static_cast<unsigned char>(c) > 127;
}

// Length of a dash, curly quote or ellipsis at the front (U+2010 to U+2027), 0 if there is none.
std::size_t wide_punctuation(std::string_view text) {
    if (text.size() < 3 || text[0] != '\xE2' || text[1] != '\x80') return 0;
    const auto last = static_cast<unsigned char>(text[2]);
    return last >= 0x90 && last <= 0xA7 ? 3 : 0;
}

// Bytes of the word that goes on at `at`: a letter or digit, or an apostrophe with one behind it; 0 at its end.
std::size_t word_step(std::string_view text, std::size_t at) {
    const std::string_view rest = text.substr(at);
    const std::size_t apostrophe = rest.starts_with('\'')               ? 1
                                   : rest.starts_with(curly_apostrophe) ? curly_apostrophe.size()
                                                                        : 0;
    if (apostrophe > 0) return rest.size() > apostrophe && is_word_byte(rest[apostrophe]) ? apostrophe : 0;
    if (rest.empty() || wide_punctuation(rest) > 0 || !is_word_byte(rest.front())) return 0;
    return 1;
}

}  // namespace

Words words_of(std::string_view text) {
    Words words;
    words.reserve(text.size() / 5 + 1);
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t first = at;
        if (wide_punctuation(text.substr(at)) == 0 && is_word_byte(text[at])) {
            while (const std::size_t step = word_step(text, at)) at += step;
            words.push_back(text.substr(first, at - first));
            continue;
        }
        if (text[at] == '&') words.push_back(text.substr(at, 1));
        at += std::max<std::size_t>(wide_punctuation(text.substr(at)), 1);
    }
    return words;
}

bool is_choice_letter(std::string_view word) {
    return word.size() == 1 && word[0] >= 'A' && word[0] <= 'D';
}

bool is_one_of(std::string_view word, std::initializer_list<std::string_view> low_words) {
    return std::any_of(low_words.begin(), low_words.end(), [&](std::string_view low) {
        return std::equal(word.begin(), word.end(), low.begin(), low.end(),
                          [](char a, char b) { return lower(a) == b; });
    });
}

bool names_many_choices(std::string_view word) {
    return is_one_of(word, {"choices", "answers", "options"});
}

bool names_choices(std::string_view word) {
    return names_many_choices(word) || is_one_of(word, {"choice", "answer", "option"});
}

bool Reader::take_if(bool right_word) {
    if (right_word) at_ += 1;
    return right_word;
}

bool Reader::take(std::initializer_list<std::string_view> low_words) {
    return take_if(is_one_of(here(), low_words));
}
bool Reader::take_letter() {
    return take_if(is_choice_letter(here()));
}
bool Reader::take_choices() {
    return take_if(names_choices(here()));
}
bool Reader::take_many_choices() {
    return take_if(names_many_choices(here()));
}

}  // namespace ladderline::domain::choice_words
