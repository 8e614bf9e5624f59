#pragma once
// The pairing board of a club's officers: the best proposal, what else could be done and at what price, and what is
// open. Nothing is stored.

#include <limits>

#include "node/commands/pairing.hpp"

namespace ladderline::node {

struct PairMoveLine {
    std::string newcomer;
    std::string from;  // empty: nobody
    std::string to;
};

struct PairOutcome {
    std::size_t newcomers = 0;  // of how many
    std::size_t paired = 0;
    std::int64_t points = 0;  // of pairs and load
    std::vector<PairMoveLine> moves;
    std::string sentence;
};

// Nobody with a worse match than needed.
struct FairVariant {
    PairOutcome outcome;
    std::int32_t worst = 0;       // the dearest pair of it
    std::int32_t worst_best = 0;  // the dearest pair of the best proposal
    double price = 0;             // its total over the best total, less 1
};

// Everybody who is together stays, against the best over all.
struct KeptTogether {
    std::size_t together = 0;
    std::int64_t more_paired = 0;
    std::int64_t saves = 0;  // points; only while more_paired is 0
    std::size_t moves = 0;   // people who would have to change
    std::string sentence;
    std::vector<std::string> cautions;  // pairs that would not be proposed today, and why
};

struct WhatIf {
    protocol::MemberId mentor;
    std::string name;
    std::optional<PairOutcome> one_more;  // none while they rest
    std::optional<PairOutcome> pause;
};

// A proposal that waits for answers.
struct OpenRequest {
    protocol::MemberId newcomer;
    protocol::MemberId mentor;
    std::string newcomer_name;
    std::string mentor_name;
    Day since;
    bool newcomer_said_yes = false;
    bool mentor_said_yes = false;
};

struct PairOfClub {
    protocol::MemberId newcomer;
    protocol::MemberId mentor;
    std::string newcomer_name;
    std::string mentor_name;
    Day since;
    bool mentor_rests = false;
};

// Somebody to choose from a list.
struct Named {
    protocol::MemberId id;
    std::string name;
};

// The own notes: they stay on the officer's machines.
struct ApartNote {
    Named newcomer;
    Named mentor;
};
struct ClearanceNote {
    Named adult;
    Day until;
    std::int32_t beside = 0;
};

// What is worked out of it: a page shows a part. As it stands, everything.
struct BoardParts {
    std::size_t first_line = 0;  // of the proposal
    std::size_t lines_max = std::numeric_limits<std::size_t>::max();
    bool open_matters = true;  // who is asked, what stands, the reviews, the own notes, and names to choose from
    // Newcomers times mentors up to which fair, kept and what_if are worked out at all.
    std::size_t alternatives_pairs_max = std::numeric_limits<std::size_t>::max();
    // Newcomers times mentors up to which `kept` and pauses are worked out.
    std::size_t pairs_max = std::numeric_limits<std::size_t>::max();
    std::size_t what_ifs_max = 40;  // each is worked out exactly, twice: two seconds in a club of 5,000
    std::optional<protocol::MemberId> asked_about = {};  // a mentor, first in `what_if`
};

struct PairBoard {
    PairProposal best;
    std::vector<std::string> weights;
    FairVariant fair;
    std::size_t blocking_pairs = 0;
    std::string blocking_sentence;
    KeptTogether kept;
    bool has_alternatives = true;
    bool all_compared = true;                // false: `kept` and pauses were left out, `pairs_max`
    std::vector<WhatIf> what_if;             // those with a free place first, then by name
    std::size_t mentors_awake = 0;           // who do not rest and can be reached
    std::vector<std::string> second_adults;  // sentences; empty if nobody under 18 needs one
    std::vector<OpenRequest> open;
    std::vector<PairOfClub> standing;
    std::vector<std::string> reviews;  // those that want an officer's look, one sentence each
    std::vector<Named> newcomers;
    std::vector<Named> mentors;
    std::vector<Named> adults;
    std::vector<ApartNote> apart;
    std::vector<ClearanceNote> cleared;
};
std::vector<std::string> pair_weights_in_words();
// Officers only.
Result<PairBoard> pair_board(Context& context, const BoardParts& parts = {});

}  // namespace ladderline::node
