#pragma once
// Contacts made.

#include "node/commands/way.hpp"

namespace ladderline::node {

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
