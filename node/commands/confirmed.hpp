#pragma once
// Contacts that two people on a path wrote down, each their own side.

#include "node/commands/way.hpp"
#include "node/domain/radio/log_match.hpp"

namespace ladderline::node {

// What one other person's rows say of the owner's.
struct OtherLog {
    PersonView person;
    std::optional<domain::ClockDifference> clocks;  // how far their clock is ahead of the owner's
    struct Pair {
        ContactView own;
        ContactView theirs;
        std::optional<domain::Differs> differs;  // none: they agree
    };
    std::vector<Pair> pairs;               // in the order of the way's contacts
    std::vector<ContactView> only_theirs;  // with the owner, and not in the owner's log
};

// Everybody who wrote down a contact with the owner: people on the path, then "a former member" for each who left.
std::vector<OtherLog> other_logs(const WayView& way);

// "Max's clock ran 7 minutes ahead." One sentence; empty where there is nothing to say.
std::string clock_words(const OtherLog& log);
// "the band differs"
std::string difference_words(domain::Differs differs);
// The name of whoever's log agrees with that contact; empty if nobody's does.
std::string confirmed_by(const std::vector<OtherLog>& logs, const protocol::EventId& contact);

}  // namespace ladderline::node
