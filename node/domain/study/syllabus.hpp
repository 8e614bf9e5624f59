#pragma once
// How an examination is put together, element by element: data, so that no calculation names a number of its own.

#include <array>
#include <optional>

namespace ladderline::domain {

// One question is drawn from each group. `mark` is the least number of right answers that passes.
struct Syllabus {
    int element = 0;
    int questions = 0;  // questions in one examination
    int groups = 0;
    int mark = 0;
};

// Elements 2 to 4: questions and marks from 47 CFR 97.503; one question from each group is the custom of the published
// pools, not a rule of Part 97. Element 0 is no examination: it stands for Ladderline's own practice items.
inline constexpr std::array<Syllabus, 4> syllabi{{
    {0, 12, 12, 9},
    {2, 35, 35, 26},
    {3, 35, 35, 26},
    {4, 50, 50, 37},
}};

inline std::optional<Syllabus> syllabus_of(int element) {
    for (const Syllabus& syllabus : syllabi) {
        if (syllabus.element == element) return syllabus;
    }
    return std::nullopt;
}

}  // namespace ladderline::domain
