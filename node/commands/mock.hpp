#pragma once
// Mock papers: drawn, printed, written, marked. A paper is known by its number; what was marked stays on the desk and
// counts as practice.

#include <filesystem>

#include "node/commands/study.hpp"
#include "node/domain/study/calibration.hpp"
#include "node/domain/study/paper_number.hpp"

namespace ladderline::node {

struct MockSheet {
    std::string number;
    int element = 0;
    std::string pool;  // its title
    std::string edition;
    bool fresh = false;
    Day drawn;
    int mark = 0;                          // right answers that pass
    std::vector<ShownQuestion> questions;  // in the order of the paper
    std::vector<std::uint8_t> right_places;
};
// Draws a paper and remembers it, so that it can be marked whatever comes in between.
Result<MockSheet> draw_mock_paper(Context& context, const PoolChoice& pool, domain::MockMode mode);
// The paper of a number again: one that was drawn here lately, or else drawn anew. bad_input: no such paper.
Result<MockSheet> mock_paper(Context& context, std::string_view number);

struct MarkRequest {
    std::string number;
    std::string answers;                       // as domain::read_answers takes them
    std::optional<std::int64_t> minutes = {};  // that it took; noted, never judged
};
// Marks a paper once, and gives its number as it is printed. The sentence of a refusal says that nothing was stored.
Result<std::string> mark_mock_paper(Context& context, const MarkRequest& request);

struct MarkedQuestion {
    std::string question;  // id
    std::string group;
    std::string stem;  // empty where the pool has it no more; so are the two texts
    std::string given;
    std::string right;
    std::optional<std::uint8_t> place;
    std::optional<std::uint8_t> right_place;
    bool is_right = false;
};
struct MarkedPaper {
    PoolChoice from;  // of one paper alone, where its edition is still here
    std::string number;
    int element = 0;
    bool fresh = false;
    WallTime at;
    std::optional<std::int64_t> minutes;
    int points = 0;
    int of = 0;
    int mark = 0;
    bool passed = false;
    domain::PaperForecast forecast;
    std::vector<MarkedQuestion> questions;  // filled by marked_paper() alone

    std::vector<std::string> missed_groups() const;
};
// Newest first, of all pools.
Result<std::vector<MarkedPaper>> marked_papers(Context& context);
Result<MarkedPaper> marked_paper(Context& context, std::string_view number);
// "Passed: 28 of 35, and 26 pass." with what was to be expected.
std::vector<std::string> result_lines(const MarkedPaper& paper);

// As plain text, and as a page to print that is complete in itself.
std::vector<std::string> paper_lines(const MockSheet& sheet);
std::vector<std::string> marking_lines(const MockSheet& sheet);
std::string paper_page(const MockSheet& sheet);
std::string marking_page(const MockSheet& sheet);

// What was foretold of the own faithful papers against what came of them, in sentences. Fresh papers are left out:
// they look for what was not seen lately, and readiness speaks of papers drawn at random.
struct CalibrationView {
    domain::Calibration figures;
    std::size_t fresh_papers = 0;
    std::vector<MarkedPaper> papers;  // faithful ones, newest first
    std::vector<std::string> sentences;
};
Result<CalibrationView> calibration(Context& context, const PoolChoice& pool);

}  // namespace ladderline::node
