#pragma once
// How an examination is put together. The elements and their marks stand in the country's rule book, so that no
// calculation names a number of its own.

#include <optional>

#include "node/domain/rules/rule_book.hpp"

namespace ladderline::domain {

// One question is drawn from each group. `mark` is the least number of right answers that passes.
struct Syllabus {
    int element = 0;
    int questions = 0;  // questions in one examination
    int groups = 0;
    int mark = 0;
};

// No examination: Ladderline's own practice items.
inline constexpr Syllabus practice_syllabus{0, 12, 12, 9};

// That one question is drawn from each group is the custom of the published pools, not a rule.
std::optional<Syllabus> syllabus_in(const RuleBook& book, int element);
// Elements with a syllabus, least first; the practice items among them.
std::vector<int> elements_in(const RuleBook& book);

}  // namespace ladderline::domain
