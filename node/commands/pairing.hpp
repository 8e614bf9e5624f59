#pragma once
// Who could mentor whom: proposals for the club's officers, and pairings agreed and ended.

#include "node/commands/context.hpp"

namespace ladderline::node {

// One newcomer of the proposal.
struct PairLine {
    protocol::MemberId newcomer;
    std::string newcomer_name;
    std::int32_t days_waiting = 0;
    std::optional<protocol::MemberId> mentor;  // none: nobody could be proposed
    std::string mentor_name;
    std::int32_t cost = 0;                 // 0 a perfect match, 1000 none at all
    std::vector<std::string> parts;        // why this mentor: one sentence a part, with the points it costs
    std::vector<std::string> next_best;    // other mentors, and what speaks against them
    std::string better_elsewhere;          // the best for this newcomer alone, and whom it would cost; else empty
    std::vector<std::string> reasons_not;  // mentors that cannot be, with the reason
};

struct PairProposal {
    std::string club;
    std::vector<PairLine> lines;  // longest waiting first
    std::size_t newcomers = 0;    // without a mentor, not resting
    std::size_t paired = 0;
    std::int64_t pair_cost = 0;
    std::int64_t load_cost = 0;
    std::size_t places = 0;  // free ones of all mentors
    std::string note;        // what the club does not hold and the proposal therefore leaves out
};
// Officers only. As many newcomers as possible get a mentor, then the best matches; the proof of that is checked
// before anything is shown. Nothing is stored.
Result<PairProposal> propose_pairs(Context& context);

// Officers only; a newcomer has one mentor at a time. Gate 1: somebody under 18 is paired when a guardian who agreed
// and a second adult are on their path, as far as this node can see that path; otherwise it is refused.
Result<Done> agree_pair(Context& context, std::string_view newcomer, std::string_view mentor);
// An officer, or one of the two. No reason is asked or kept.
Result<Done> end_pair(Context& context, std::string_view newcomer, std::string_view mentor);

struct PairOfMine {
    protocol::MemberId other;
    std::string other_name;
    bool as_mentor = false;  // this node's owner is the mentor
    protocol::PairingStep step = protocol::PairingStep::agreed;
    Day since;                       // day of that step
    std::optional<Day> next_review;  // of a standing pairing
};
// The own pairings in the club, standing ones first.
Result<std::vector<PairOfMine>> my_pairings(Context& context);

}  // namespace ladderline::node
