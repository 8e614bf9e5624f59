#pragma once
// What the readiness calculation must know of a pool: which group a question is in and how many choices it has.

#include <span>
#include <vector>

#include "node/domain/study/pool.hpp"

namespace ladderline::domain {

// Only questions that can be drawn: withdrawn ones are out.
struct StudyShape {
    struct Question {
        int group = 0;
        int choices = pool_choices;
    };
    std::vector<Question> questions;
    std::vector<int> group_sizes;  // questions in each group, at least 1

    int question_count() const { return static_cast<int>(questions.size()); }
    int group_count() const { return static_cast<int>(group_sizes.size()); }
};

// Question indices are those of Pool::questions.
StudyShape shape_of(const Pool& pool);
// Groups of the given sizes, questions numbered group by group.
StudyShape shape_of(std::span<const int> group_sizes);

}  // namespace ladderline::domain
