#pragma once
// What newcomers and mentors wish for a pairing, which the club is shown; and what one notes for oneself, which stays
// on the own machines: whom to keep apart, and whose clearance was seen.

#include "node/commands/context.hpp"
#include "protocol/event/pairing_bodies.hpp"

namespace ladderline::node {

// What is not named stays as it was.
struct WishRequest {
    std::optional<std::vector<std::string>> languages;  // the preferred one first
    std::optional<std::int64_t> km_max;                 // 0: no limit
    std::optional<bool> remote;
    std::optional<bool> written;
    std::optional<std::vector<std::string>> goals;
    std::optional<std::vector<std::string>> would_like;  // newcomers: names of at most two mentors
};
// Newcomers, mentors and officers of the club. bad_input with one sentence; nothing is stored then.
Result<Done> change_wish(Context& context, const WishRequest& request);

struct OwnWish {
    bool as_newcomer = false;  // may name mentors
    protocol::PairingWishBody wish;
    std::vector<std::string> would_like;                            // names
    std::vector<std::pair<protocol::MemberId, std::string>> apart;  // the own notes: with whom not
};
Result<OwnWish> own_wish(Context& context);

// "Rather not with this one", for oneself, or no longer. Kept on the desk; nobody else ever sees it. The node then says
// so beside a proposal of that pair, and answers nothing by itself.
Result<Done> not_with(Context& context, std::string_view who, bool apart);
// The same for two others, by an officer who was told: this officer's own proposals leave the pair out.
Result<Done> keep_apart(Context& context, std::string_view newcomer, std::string_view mentor, bool apart);
// An officer has seen a clearance for work with minors. Only the last day is kept, on the own desk; none: not any more.
// `beside`: how many newcomers under 18 they can be the second adult of.
Result<Done> note_clearance(Context& context, std::string_view who, std::optional<Day> until, std::int64_t beside);

}  // namespace ladderline::node
