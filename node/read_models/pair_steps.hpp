#pragma once
// What was said about pairs, step by step, and what a further step replaces.

#include <map>

#include "protocol/event/bodies.hpp"
#include "protocol/event/word_order.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::node {

struct SaidStep {
    protocol::MemberId by;
    bool by_officer = false;
    protocol::PairingBody body;

    bool by_one_of_them() const { return by == body.newcomer || by == body.mentor; }
};
struct PairSteps {
    std::vector<SaidStep> said;
    std::vector<protocol::PlacedWord> words;  // the same words
    std::vector<std::size_t> order;           // in which they count
};
// As it would be if `without` had no officer's seat any more.
Result<PairSteps> pair_steps(store::sqlite::Database& db, const protocol::CircleId& circle,
                             const std::optional<protocol::MemberId>& without);

// What the next step of a pair replaces; of a newcomer and a mentor.
using PairWords = std::map<std::pair<protocol::MemberId, protocol::MemberId>, std::vector<protocol::EventId>>;
Result<PairWords> words_about_pairs(store::sqlite::Database& db, const protocol::CircleId& circle);

}  // namespace ladderline::node
