#pragma once
// Which choices of a question may change places, and one showing of it.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

#include "node/domain/study/pool.hpp"
#include "node/domain/study/random.hpp"

namespace ladderline::domain {

enum class ChoiceClass : std::uint8_t {
    shuffle,     // every choice may stand anywhere
    last_stays,  // the last one speaks of the others ("all of the above") and stays last
    fixed,       // a choice or the stem names choices by letter or place: leave everything
};

using ChoiceTexts = std::array<std::string, pool_choices>;

// Decided on the text alone; when in doubt fixed, since not shuffling is harmless.
ChoiceClass choice_class(std::string_view stem, const ChoiceTexts& choices);

// What was on the screen; enough to rebuild an old paper. Kept with the learner's answer.
struct QuestionShowing {
    std::string question;                            // id
    std::array<std::uint8_t, pool_choices> order{};  // order[place] = index of the choice as printed in the pool
    std::uint8_t right_place = 0;                    // order[right_place] is the key
    bool operator==(const QuestionShowing&) const = default;
};

QuestionShowing draw_showing(const PoolQuestion& question, SplitMix64& generator);

}  // namespace ladderline::domain
