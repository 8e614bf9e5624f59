#include "node/domain/study/choice_order.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <span>

#include "node/domain/study/choice_words.hpp"

namespace ladderline::domain {
namespace {

using choice_words::Reader;
using choice_words::Words;

// "Both A and B", "A, B, and C", "Only choices C and D", "A or B": nothing but letters of choices and the words around
// them. A lone letter ("B") may be an answer of its own and is not one.
bool is_list_of_letters(const Words& words) {
    Reader reader(words, 0);
    bool framed = false;
    while (reader.take({"both", "either", "neither", "only", "all", "but", "except", "the"}) || reader.take_choices()) {
        framed = true;
    }
    int letters = 0;
    while (reader.take_letter()) {
        letters += 1;
        while (reader.take({"and", "or", "nor", "&"}) || reader.take_choices()) {
        }
    }
    if (letters == 0) return false;
    while (reader.take({"only", "above", "are", "is", "both", "all", "correct"}) || reader.take_choices())
        framed = true;
    return reader.at_end() && (framed || letters > 1);
}

// "choice A", "answers B": in a choice or in the stem.
bool names_choice_by_letter(const Words& words) {
    for (std::size_t i = 0; i + 1 < words.size(); ++i) {
        if (choice_words::names_choices(words[i]) && choice_words::is_choice_letter(words[i + 1])) return true;
    }
    return false;
}

// these | the above | the (other) choices | other choices | these choices
bool take_the_others(Reader& reader) {
    if (reader.take({"these"})) return true;
    if (!reader.take({"the"})) return reader.take({"other"}) && reader.take_many_choices();
    if (reader.take({"above"})) return true;
    reader.take({"other", "preceding", "listed"});
    return reader.take_many_choices();
}

// "both of these", "either of the above", "any two of the choices", anywhere.
bool names_some_of_the_others(const Words& words) {
    for (std::size_t i = 0; i < words.size(); ++i) {
        Reader reader(words, i);
        reader.take({"any"});
        if (!reader.take({"both", "two", "either", "neither", "one"})) continue;
        reader.take({"of"});
        if (take_the_others(reader)) return true;
    }
    return false;
}

// "All of the above", "None of these choices is correct", "These choices are all ...": speaks of all the others and so
// must stand after them.
bool names_all_of_the_others(const Words& words) {
    Reader reader(words, 0);
    if (reader.take({"all", "none", "any", "each"})) {
        reader.take({"of"});
        Reader plain = reader;
        if (plain.take_many_choices()) return true;
        Reader verdict = reader;
        if (verdict.take({"are", "is"}) && verdict.take({"correct"})) return true;
        return take_the_others(reader);
    }
    return reader.take({"these"}) && reader.take_many_choices() && reader.take({"are"}) && reader.take({"all"});
}

}  // namespace

ChoiceClass choice_class(std::string_view stem, const ChoiceTexts& choices) {
    if (names_choice_by_letter(choice_words::words_of(stem))) return ChoiceClass::fixed;
    int speak_of_all = 0;
    bool last_does = false;
    for (const std::string& choice : choices) {
        const Words words = choice_words::words_of(choice);
        if (is_list_of_letters(words) || names_choice_by_letter(words) || names_some_of_the_others(words)) {
            return ChoiceClass::fixed;
        }
        last_does = names_all_of_the_others(words);
        speak_of_all += last_does ? 1 : 0;
    }
    if (speak_of_all == 0) return ChoiceClass::shuffle;
    return speak_of_all == 1 && last_does ? ChoiceClass::last_stays : ChoiceClass::fixed;
}

QuestionShowing draw_showing(const PoolQuestion& question, SplitMix64& generator) {
    QuestionShowing showing;
    showing.question = question.id;
    std::iota(showing.order.begin(), showing.order.end(), std::uint8_t{0});
    const ChoiceClass kind = choice_class(question.stem, question.choices);
    const std::size_t movable = kind == ChoiceClass::shuffle      ? pool_choices
                                : kind == ChoiceClass::last_stays ? pool_choices - 1
                                                                  : 0;
    shuffle(generator, std::span(showing.order).first(movable));
    const auto right = std::find(showing.order.begin(), showing.order.end(), question.key);
    showing.right_place = static_cast<std::uint8_t>(right - showing.order.begin());
    return showing;
}

}  // namespace ladderline::domain
