#pragma once
// What the desk holds, as the study commands ask for it.

#include "node/read_models/circle_views.hpp"

namespace ladderline::node {

struct PracticeView {
    std::string question;
    protocol::Answer answer = protocol::Answer::right;
    WallTime at;
};
// Answers to questions of one pool, oldest first.
Result<std::vector<PracticeView>> practice_answers(store::sqlite::Database& db, const protocol::CircleId& desk,
                                                   std::string_view pool);

}  // namespace ladderline::node
