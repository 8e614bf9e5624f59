#pragma once
// How pairings go: short reviews, a mentor who rests or hands over, and a mentor who cannot be reached.

#include "node/commands/pair_state.hpp"
#include "node/commands/pairing.hpp"

namespace ladderline::node {

// The latest review of a pairing whose day has come; none before the first.
std::optional<ReviewNow> review_now(const PairState& state, const PairingView& pair, Day today);

// One of the two says how it goes, once a review's day has come: one of the first three words. Saying it again replaces
// it. The club is shown the word and nothing else.
Result<Done> review_pair(Context& context, std::string_view other, protocol::PairingWord word);
// The most serious of the answers to several questions. Precondition: not empty.
protocol::PairingWord most_serious(const std::vector<protocol::PairingWord>& answers);
std::string_view in_words(protocol::PairingWord word);

// What officers should look at: reviews that somebody has not answered or that call for a talk.
struct ReviewLineOfClub {
    protocol::MemberId newcomer;
    protocol::MemberId mentor;
    std::string newcomer_name;
    std::string mentor_name;
    ReviewNow review;
    std::string sentence;
};
Result<std::vector<ReviewLineOfClub>> reviews_open(Context& context);
Result<std::vector<ReviewLineOfClub>> reviews_open(Context& context, const ClubPeople& people, const PairState& state);

// The mentor, or an officer, hands a newcomer over: the pairing ends with thanks and the next mentor is proposed, in
// one act. `thanks` may be empty; the two are shown it. The newcomer and the next mentor still say yes.
Result<Done> hand_over(Context& context, std::string_view newcomer, std::string_view next, const std::string& thanks);

// Officers only: a mentor cannot be reached any more. All their pairings end, what was proposed to them is taken back,
// their newcomers come first in the next proposal, and they are proposed to nobody until they change their card.
Result<Done> mentor_out_of_reach(Context& context, std::string_view mentor);

}  // namespace ladderline::node
