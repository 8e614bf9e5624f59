#pragma once
// Who could mentor whom: proposals for the club's officers, and pairings agreed and ended.

#include "node/commands/context.hpp"
#include "protocol/event/pairing_bodies.hpp"

namespace ladderline::node {

// One newcomer of the proposal.
struct PairLine {
    protocol::MemberId newcomer;
    std::string newcomer_name;
    std::int32_t days_waiting = 0;
    bool comes_first = false;                  // their mentor could not be reached
    std::optional<protocol::MemberId> mentor;  // none: nobody could be proposed
    std::string mentor_name;
    std::int32_t cost = 0;                   // 0 a perfect match, 1000 none at all
    std::vector<std::string> parts;          // why this mentor: one sentence a part, with the points it costs
    std::vector<std::string> next_best;      // other mentors, and what speaks against them
    std::vector<protocol::MemberId> others;  // the same mentors
    std::vector<std::string> wishes;         // mentors they would like, and what that would cost all together
    std::string beside;                      // under 18: who could be the second adult; empty: nobody is needed
    std::string better_elsewhere;            // the best for this newcomer alone, and whom it would cost; else empty
    std::vector<std::string> reasons_not;    // mentors that cannot be, with the reason
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

// A review of a standing pairing whose day has come, and what was said at it.
struct ReviewNow {
    std::uint16_t after_days = 0;  // 30, 90 or 365
    Day due;
    std::optional<protocol::PairingWord> newcomer_said;
    std::optional<protocol::PairingWord> mentor_said;
};

struct PairOfMine {
    protocol::MemberId other;
    std::string other_name;
    bool as_mentor = false;  // this node's owner is the mentor
    protocol::PairingStep step = protocol::PairingStep::agreed;
    Day since;                        // day of that step
    std::optional<Day> next_review;   // of a standing pairing
    std::optional<ReviewNow> review;  // the latest one whose day has come
    bool i_said_yes = false;          // to a proposal
    bool they_said_yes = false;
    bool noted_apart = false;   // the own note says: rather not with them
    bool out_of_reach = false;  // it ended because the mentor could not be reached
    std::string thanks;         // of a hand-over that ended it
    std::string handed_to;      // the mentor proposed then

    // A proposal that waits for this node's owner.
    bool waits_for_me() const { return step == protocol::PairingStep::proposed && !i_said_yes; }
    // A review that this node's owner has not answered.
    bool review_waits_for_me() const {
        return review && !(as_mentor ? review->mentor_said : review->newcomer_said).has_value();
    }
};
// The own pairings in the club: standing ones, then proposals, then ended ones. What was declined is nowhere.
Result<std::vector<PairOfMine>> my_pairings(Context& context);

}  // namespace ladderline::node
