#pragma once
// What happened, in sentences, for whoever has to understand a failing seed.

#include <string>
#include <vector>

namespace ladderline::simulation {

class Story {
public:
    void add(std::size_t step, std::string sentence) {
        lines_.push_back("  " + std::to_string(step) + ". " + std::move(sentence));
    }
    const std::vector<std::string>& lines() const { return lines_; }

private:
    std::vector<std::string> lines_;
};

}  // namespace ladderline::simulation
