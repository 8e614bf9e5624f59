#pragma once
// Arranged contacts and contacts made.

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

struct ContactRequest {
    std::string who;     // empty: the own path
    std::string worked;  // the other station
    WallTime start;
    std::string frequency;
    std::string band;  // where no frequency is known
    std::string mode;
    std::string sent;
    std::string received;
    std::string guest_of;  // call sign of the licensed operator in control, for a guest
    std::string locator;
    std::string comment;
    bool another = false;  // whatever looks the same in the log is another contact
};
// Contacts with one station on one band and mode that are no further apart are taken for one that is written down
// twice, until somebody says that they are not.
inline constexpr std::int64_t same_contact_min = 15;

// refused: one that looks the same is in the log, and `another` is not said. On somebody else's path: what is typed in
// for them, or, where their call sign is the station worked, one's own side of that contact.
Result<Done> log_contact(Context& context, const ContactRequest& request);
// The start of a contact in the log that looks the same; none if there is none, or if the request cannot be one.
Result<std::optional<WallTime>> same_in_log(Context& context, const ContactRequest& request);

}  // namespace ladderline::node
