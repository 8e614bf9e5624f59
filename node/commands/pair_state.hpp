#pragma once
// What was said about pairings in a club, put together for the commands about them; used by those alone.

#include "node/commands/club_people.hpp"
#include "node/read_models/pairing_views.hpp"

namespace ladderline::node {

inline constexpr std::int32_t not_taken_up_days = 365;  // so long a pair that was declined is not proposed again

struct PairState {
    // Every pair there ever was, without those that would stand or be open but for one who left the club.
    std::vector<PairingView> pairs;
    std::vector<WishView> wishes;  // by author
    std::vector<PairingWordView> words;
    std::map<protocol::MemberId, WallTime> cards;  // when each was last changed; empty where nobody was out of reach
    protocol::PairingWishBody notes;               // of the own desk: whom to keep apart, who is cleared
    std::optional<protocol::EventId> notes_id;

    // Null if they wish nothing in particular.
    const protocol::PairingWishBody* wish_of(const protocol::MemberId& person) const;
    // With whom a pairing stands; null if there is none.
    const PairingView* standing_of(const protocol::MemberId& newcomer) const;
    // Proposals that wait for an answer: those of a newcomer with whom no pairing stands.
    std::vector<PairingView> open() const;
    const PairingView* find(const protocol::MemberId& newcomer, const protocol::MemberId& mentor) const;
    bool kept_apart(const protocol::MemberId& newcomer, const protocol::MemberId& mentor) const;
    // Declined within the last `not_taken_up_days`.
    bool not_taken_up(const protocol::MemberId& newcomer, const protocol::MemberId& mentor, Day today) const;
    static bool is_not_taken_up(const PairingView& pair, Day today);
    // Their mentor could not be reached, and they were with nobody since.
    bool left_alone(const protocol::MemberId& newcomer) const;
    // Said of this mentor, who has not changed their card since.
    bool out_of_reach(const protocol::MemberId& mentor) const;
    // The last day of a clearance that was noted here.
    const protocol::ClearedAdult* clearance_of(const protocol::MemberId& person) const;
};

Result<PairState> pair_state(Context& context, const protocol::CircleId& club);

// Several words in one act: all of them are stored, or nothing. The id is the first one's.
struct ToSay {
    std::uint16_t kind = 0;
    Bytes payload;
};
Result<protocol::EventId> say_together(Context& context, const protocol::CircleId& circle, std::vector<ToSay> words);

// The person in the club, and that they may mentor: of age, a mentor or an officer.
Result<PersonView> find_mentor(Context& context, const protocol::CircleId& club, std::string_view who);

}  // namespace ladderline::node
