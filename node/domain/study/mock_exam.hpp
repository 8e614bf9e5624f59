#pragma once
// Mock papers: one question from each group, drawn, marked by count.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "node/domain/study/choice_order.hpp"
#include "node/domain/study/pool.hpp"
#include "node/domain/study/random.hpp"
#include "node/domain/study/syllabus.hpp"

namespace ladderline::domain {

enum class MockMode : std::uint8_t {
    faithful,  // every paper independent, as in the examination room
    fresh,     // a question comes back only when all others of its group have been drawn
};

struct MockSetting {
    MockMode mode = MockMode::faithful;
    bool shuffle_groups = false;  // else in pool order
};

// A paper as it was drawn.
struct MockPaper {
    std::vector<QuestionShowing> showings;
    bool operator==(const MockPaper&) const = default;
};

// drawn_before: question ids of earlier papers, oldest first, used in fresh mode only; unknown ids are passed over.
MockPaper draw_mock(const Pool& pool, const MockSetting& setting, std::span<const std::string> drawn_before,
                    SplitMix64& generator);

// right of `of`; passing is decided by the count, never by a rounded per cent.
struct MockMark {
    int right = 0;
    int of = 0;
    int mark = 0;
    bool passed = false;
};

// places[i]: the place chosen at showing i (0 to 3), nothing where it was left open. Precondition: equal lengths.
MockMark mark_mock(const MockPaper& paper, std::span<const std::optional<std::uint8_t>> places, int mark);

// Bad_input if the pool does not have the groups that the syllabus draws from.
Result<void> fits(const Pool& pool, const Syllabus& syllabus);

// Expected number of questions that two faithful papers share, and log10 of the number of different papers.
double expected_overlap(const Pool& pool);
double papers_log10(const Pool& pool);

}  // namespace ladderline::domain
