#pragma once
// The number that is printed on a mock paper, and the answers that are typed back from it.
//
// A number is 80 bits in Crockford's base 32, four groups of four: mode 1 bit, element 4, minute of the draw since
// 2020-01-01T00:00Z 27, salt 32, check 16. Everything before the check is the seed of the draw; the check covers the
// paper as it is printed, so a slip of the pen and a pool that reads otherwise are both found.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "node/domain/study/mock_exam.hpp"

namespace ladderline::domain {

inline constexpr std::int64_t mock_minute_min = 26'297'280;  // 2020-01-01T00:00Z
inline constexpr std::int64_t mock_minute_max = mock_minute_min + (std::int64_t{1} << 27) - 1;

struct MockDraw {
    MockMode mode = MockMode::faithful;
    int element = 0;          // 0 to 15
    std::int64_t minute = 0;  // of the draw, since 1970-01-01T00:00Z; fresh papers look at what was seen before it
    std::uint32_t salt = 0;   // tells papers of one minute apart
    bool operator==(const MockDraw&) const = default;
};

// `seen_before`: ids of questions shown before draw.minute, oldest first; used by fresh papers only.
MockPaper draw_numbered(const Pool& pool, const MockDraw& draw, std::span<const std::string> seen_before);

// "ABCD-EFGH-JKMN-PQRS". Precondition: the minute lies within the bounds above, the showings are of this pool.
std::string paper_number(const Pool& pool, const MockDraw& draw, const MockPaper& paper);

struct ReadNumber {
    MockDraw draw;
    std::uint16_t check = 0;
};
// Either case, blanks and hyphens anywhere, O for 0, I and L for 1. bad_input: a sentence.
Result<ReadNumber> read_paper_number(std::string_view text);
// Whether the number was printed on this paper.
bool is_number_of(const ReadNumber& number, const Pool& pool, const MockPaper& paper);

using MockPlaces = std::vector<std::optional<std::uint8_t>>;
// One letter a question, A to D in either case, "?" or "-" for one left open; blanks are passed over. bad_input: a
// sentence that names the answer at fault, or both counts.
Result<MockPlaces> read_answers(std::string_view text, std::size_t questions);

}  // namespace ladderline::domain
