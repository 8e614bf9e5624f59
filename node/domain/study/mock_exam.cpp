#include "node/domain/study/mock_exam.hpp"

#include <algorithm>
#include <cstddef>

namespace ladderline::domain {
namespace {

// A bag of the group's questions: every draw takes one out, and an empty bag is filled again. Straight after filling,
// the question drawn last is held back, so that it does not come twice in a row.
class Bag {
public:
    explicit Bag(const PoolGroup& group) : all_(group.questions), left_(group.questions) {}

    void take(int question) {
        std::erase(left_, question);
        if (left_.empty()) left_ = all_;
        last_ = question;
    }

    std::vector<int> candidates() const {
        std::vector<int> questions = left_;
        if (last_ && questions.size() > 1) std::erase(questions, *last_);
        return questions;
    }

private:
    std::vector<int> all_;
    std::vector<int> left_;
    std::optional<int> last_;
};

std::vector<std::vector<int>> fresh_candidates(const Pool& pool, std::span<const std::string> drawn_before) {
    std::vector<Bag> bags;
    bags.reserve(pool.groups.size());
    for (const PoolGroup& group : pool.groups) bags.emplace_back(group);
    for (const std::string& id : drawn_before) {
        const std::optional<int> question = pool.find(id);
        if (!question) continue;
        const int group = pool.questions[static_cast<std::size_t>(*question)].group;
        bags[static_cast<std::size_t>(group)].take(*question);
    }
    std::vector<std::vector<int>> candidates;
    for (const Bag& bag : bags) candidates.push_back(bag.candidates());
    return candidates;
}

}  // namespace

MockPaper draw_mock(const Pool& pool, MockMode mode, std::span<const std::string> drawn_before, SplitMix64& generator) {
    std::vector<std::vector<int>> candidates;
    if (mode == MockMode::fresh) {
        candidates = fresh_candidates(pool, drawn_before);
    } else {
        for (const PoolGroup& group : pool.groups) candidates.push_back(group.questions);
    }
    MockPaper paper;
    paper.showings.reserve(candidates.size());
    for (const std::vector<int>& from : candidates) {
        const int question = from[static_cast<std::size_t>(bounded(generator, from.size()))];
        paper.showings.push_back(draw_showing(pool.questions[static_cast<std::size_t>(question)], generator));
    }
    return paper;
}

Result<void> fits(const Pool& pool, const Syllabus& syllabus) {
    const int groups = static_cast<int>(pool.groups.size());
    if (pool.element == syllabus.element && groups == syllabus.groups) return ok();
    return Error(Fault::bad_input, "This pool is for element " + std::to_string(pool.element) + " and has " +
                                       std::to_string(groups) + " groups, but an examination of element " +
                                       std::to_string(syllabus.element) + " draws from " +
                                       std::to_string(syllabus.groups) +
                                       "; nothing was imported, check that the file is the whole pool.");
}

}  // namespace ladderline::domain
