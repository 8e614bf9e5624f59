#pragma once
// One officer hands over to the next: the seat, what is open, and the pairs. Officers only.
//
// A pair counts while an officer of today has said it. So the new officer takes the pairs over before the old one
// steps down, and stepping down waits for that.

#include "node/commands/context.hpp"

namespace ladderline::node {

struct OpenMatter {
    std::string who;
    std::string sentence;
    std::optional<Day> day;
};

// What the next officer has to know, from what the club holds and the paths that this node shares.
struct OpenMatters {
    std::string club;
    std::vector<std::string> officers;
    std::vector<OpenMatter> dates;    // that do not move, nearest first
    std::vector<OpenMatter> asks;     // not answered yet, longest first
    std::vector<OpenMatter> minors;   // everybody under 18: adults on the path, consents
    std::vector<OpenMatter> reviews;  // of pairs, due within 30 days or missed by at most as many
    int standing_pairs = 0;
    int on_my_word = 0;  // pairs that would fall, or that would stand again, without this node's owner as officer
    int unknown = 0;     // newcomers without a row
    std::optional<WallTime> as_of;
};
Result<OpenMatters> open_matters(Context& context);

// Gives a member an officer's seat. refused: somebody under 18, or who has it already.
Result<Done> make_officer(Context& context, std::string_view who);
// Says every standing pair again, with the day on which it was agreed.
Result<Done> take_over_pairs(Context& context);
// The owner goes on as a mentor, or in another seat of a grown-up. refused: the only officer; pairs that would fall
// with their word.
Result<Done> step_down(Context& context, protocol::MemberRole seat);

}  // namespace ladderline::node
