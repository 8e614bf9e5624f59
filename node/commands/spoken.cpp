#include "node/commands/spoken.hpp"

#include <algorithm>
#include <optional>

#include "protocol/base/letters.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node {
namespace {

bool is_letter(char c) {
    return (c >= 'A' && c <= 'Z');
}

// "XRAY" for "X-ray"; the two words that plain English spells otherwise count too.
std::optional<char> letter_of_word(const std::string& word) {
    if (word == "ALPHA") return 'A';
    if (word == "JULIET") return 'J';
    std::string official(protocol::itu_word(word.front()));
    std::erase(official, '-');
    if (upper(official) != word) return std::nullopt;
    return word.front();
}

}  // namespace

Result<std::string> spoken_letters(std::string_view text, std::size_t count) {
    const Error unreadable(Fault::bad_input, "Write the " + std::to_string(count) +
                                                 " letters that you heard, as XY or as X-ray Yankee; nothing was "
                                                 "compared yet.");
    std::string letters;
    std::string word;
    const auto take_word = [&] {
        const std::string taken = std::exchange(word, {});
        if (taken.size() <= count) {  // no spelling word is that short
            letters += taken;
            return true;
        }
        const auto letter = letter_of_word(taken);
        if (letter) letters += *letter;
        return letter.has_value();
    };
    for (const char typed : text) {
        const char c = upper(typed);
        if (c == '-') continue;
        if (is_letter(c)) {
            word += c;
        } else if (c != ' ' || !take_word()) {
            return unreadable;
        }
    }
    if (!take_word() || letters.size() != count) return unreadable;
    return letters;
}

}  // namespace ladderline::node
