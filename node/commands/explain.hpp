#pragma once
// Explanations of questions, in the words of those who teach.

#include "node/commands/study.hpp"

namespace ladderline::node {

struct ExplainRequest {
    PoolChoice pool;
    std::string question;
    std::string text;         // empty: take one's own away
    std::string circle = {};  // club, path or desk; empty: the club, without a club the own desk
    std::string who = {};     // whose path
};
// Mentors and officers explain for a club or a path; on the own desk anybody, for themselves.
Result<Done> explain(Context& context, const ExplainRequest& request);

struct Explanation {
    std::string author;  // "you" for one's own
    std::string text;
    WallTime said;
};
// Of everybody present who may explain, latest first; those of another edition of the pool are left out.
Result<std::vector<Explanation>> explanations(Context& context, const PoolChoice& pool, std::string_view question);
// Where this node's owner may explain, the widest first; the own desk is always among them.
struct ExplainPlace {
    std::string circle;  // as ExplainRequest takes it
    std::string who;
    std::string words;  // "for Example Lake Radio Club"
};
Result<std::vector<ExplainPlace>> explain_places(Context& context);

}  // namespace ladderline::node
