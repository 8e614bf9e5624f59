#pragma once
// Mock papers: one question from each group, drawn.

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

// A paper as it was drawn: the groups in pool order.
struct MockPaper {
    std::vector<QuestionShowing> showings;
    bool operator==(const MockPaper&) const = default;
};

// drawn_before: question ids of earlier papers, oldest first, used in fresh mode only; unknown ids are passed over.
MockPaper draw_mock(const Pool& pool, MockMode mode, std::span<const std::string> drawn_before, SplitMix64& generator);

// Bad_input if the pool does not have the groups that the syllabus draws from.
Result<void> fits(const Pool& pool, const Syllabus& syllabus);

}  // namespace ladderline::domain
