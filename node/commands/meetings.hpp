#pragma once
// Arranged contacts.

#include "node/commands/way.hpp"
#include "node/domain/meeting/common_times.hpp"

namespace ladderline::node {

struct MeetRequest {
    std::string who;   // the newcomer whose path it is arranged on; empty: the own path
    std::string with;  // on the own path: with whom; empty: the mentor
    WallTime start;
    std::string first_frequency;   // MHz
    std::string second_frequency;  // may be empty
    std::string mode = "FM";
    std::string fallback;
    std::string words;
};
Result<Done> meet(Context& context, const MeetRequest& request);

struct MeetOutcomeRequest {
    std::string who;
    std::string meeting;  // first digits of its id; empty: the latest without an outcome
    protocol::MeetOutcome outcome = protocol::MeetOutcome::made;
};
Result<Done> meet_outcome(Context& context, const MeetOutcomeRequest& request);

// Starts in the next two weeks that suit both, earliest first, at most `count`. Both need weekly times on their cards.
Result<std::vector<WallTime>> propose_times(Context& context, const WayView& way, std::size_t count);

// The weekly times on somebody's card; empty without a card.
domain::Availability availability(const PersonView& person);

}  // namespace ladderline::node
