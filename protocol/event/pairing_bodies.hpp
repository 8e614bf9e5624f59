#pragma once
// What belongs to a pairing beside its steps (34): what somebody wishes for it, and how it goes.

#include "protocol/event/bodies.hpp"

namespace ladderline::protocol {

// Two who are not to be paired.
struct KeptApart {
    MemberId newcomer;
    MemberId mentor;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(newcomer, mentor);
    }
};

// Somebody whose clearance for work with minors an officer has seen: the last day on which it holds, nothing else.
struct ClearedAdult {
    MemberId who;
    Day until;
    std::uint8_t beside = 0;  // newcomers under 18 whom they can stand beside as second adult

    template <class Archive>
    void serialize(Archive& ar) {
        ar(who, until, beside);
    }
};

// Room for what later programs ask: a number with one meaning each, and its value as text. Without effect here.
struct FurtherWish {
    std::uint16_t what = 0;
    std::string value;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(what, bounded<limits::line_bytes_max>(value));
    }
};

// A register: the newest one of its author stands. In a club it says what its author wishes, and the two lists about
// others are empty there or without effect. On a desk, which nobody else holds, only those two lists count.
struct PairingWishBody {
    std::vector<std::string> languages;   // spoken well enough, the preferred one first; empty: not said
    std::optional<std::uint16_t> km_max;  // none: no limit, or not said
    bool remote = false;                  // help from afar is all right
    bool written = false;                 // writing alone is all right
    std::vector<std::string> goals;
    std::vector<MemberId> would_like;  // mentors whom a newcomer would like; at most two count
    std::vector<KeptApart> apart;
    std::vector<ClearedAdult> cleared;
    std::vector<FurtherWish> further;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::list_max>(languages), km_max, remote, written, bounded<limits::list_max>(goals),
           bounded<limits::list_max>(would_like), bounded<limits::list_max>(apart), bounded<limits::list_max>(cleared),
           bounded<limits::list_max>(further));
    }
};

enum class PairingWord : std::uint8_t {
    goes_well = 1,  // the first three are said at a review, by one of the two
    needs_a_talk = 2,
    let_us_end = 3,
    handed_over = 4,   // by the mentor or an officer; `next` is the mentor proposed in their place
    out_of_reach = 5,  // by an officer: the mentor cannot be reached
};
constexpr bool is_known(PairingWord w) {
    return w >= PairingWord::goes_well && w <= PairingWord::out_of_reach;
}

// One word about a pairing. Never a reason.
struct PairingReviewBody {
    MemberId newcomer;
    MemberId mentor;
    PairingWord word = PairingWord::goes_well;
    std::uint16_t after_days = 0;  // which review; 0 where the word is none of a review
    Day day;
    std::optional<MemberId> next;
    std::string thanks;  // of a hand-over, shown to the two; empty otherwise

    template <class Archive>
    void serialize(Archive& ar) {
        ar(newcomer, mentor, word, after_days, day, next, bounded<limits::line_bytes_max>(thanks));
    }
};

}  // namespace ladderline::protocol
