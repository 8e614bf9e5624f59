#pragma once
// What the desk holds, as the study commands ask for it.

#include "node/read_models/circle_views.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {

struct PracticeView {
    std::string question;
    protocol::Answer answer = protocol::Answer::right;
    WallTime at;
};
// Answers to questions of one pool, oldest first.
Result<std::vector<PracticeView>> practice_answers(store::sqlite::Database& db, const protocol::CircleId& desk,
                                                   std::string_view pool);

// A mock paper that was marked.
struct MockView {
    protocol::EventId id;
    std::string pool;
    std::string paper;  // its number
    WallTime at;
    std::optional<std::int64_t> minutes;
    std::int64_t mark = 0;
    protocol::Foretold foretold;
    std::int64_t right = 0;
    std::int64_t of = 0;
};
// Every one that counts, oldest first.
Result<std::vector<MockView>> mock_papers(store::sqlite::Database& db, const protocol::CircleId& desk);
// Its answers in the order of the paper.
Result<std::vector<protocol::MockAnswer>> mock_answers(store::sqlite::Database& db, const protocol::EventId& paper);

struct ExplanationView {
    protocol::CircleId circle;
    protocol::MemberId by;
    std::string text;
    WallTime said;
};
// What was said about a question, in every circle: the latest of each author in each circle, without those that were
// taken away; latest first.
Result<std::vector<ExplanationView>> explanations_of(store::sqlite::Database& db, std::string_view pool,
                                                     std::string_view question);

}  // namespace ladderline::node
