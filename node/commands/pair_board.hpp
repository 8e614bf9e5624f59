#pragma once
// The pairing board of a club's officers: the best proposal, what else could be done and at what price, and what is
// open. Nothing is stored.

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

struct PairBoard {
    PairProposal best;
    std::vector<std::string> weights;
    FairVariant fair;
    std::size_t blocking_pairs = 0;
    std::string blocking_sentence;
    KeptTogether kept;
    std::vector<WhatIf> what_if;             // of the first 40 mentors
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
// Officers only.
Result<PairBoard> pair_board(Context& context);

}  // namespace ladderline::node
