#pragma once
// The words of a stem or a choice, for the classes of choice_order.hpp; used by that alone.

#include <initializer_list>
#include <string_view>
#include <vector>

namespace ladderline::domain::choice_words {

// Pieces of a text that outlives them: runs of letters, digits and apostrophes inside (straight or curly); "&" is a
// word; everything else parts words.
using Words = std::vector<std::string_view>;
Words words_of(std::string_view text);

// A, B, C or D, in upper case.
bool is_choice_letter(std::string_view word);
// Either case; `low_words` in lower case.
bool is_one_of(std::string_view word, std::initializer_list<std::string_view> low_words);
// choice, choices, answer(s), option(s)
bool names_choices(std::string_view word);
bool names_many_choices(std::string_view word);

// A place among words that outlive it; every take_ moves on and says true, or stays and says false.
class Reader {
public:
    Reader(const Words& words, std::size_t at) : words_(&words), at_(at) {}

    bool at_end() const { return at_ >= words_->size(); }
    bool take(std::initializer_list<std::string_view> low_words);
    bool take_letter();
    bool take_choices();       // one word that names choices
    bool take_many_choices();  // the same, plural only

private:
    bool take_if(bool right_word);
    std::string_view here() const { return at_end() ? std::string_view() : (*words_)[at_]; }

    const Words* words_;
    std::size_t at_;
};

}  // namespace ladderline::domain::choice_words
