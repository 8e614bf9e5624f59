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
};
// On somebody else's path: what is typed in for them, or, where their call sign is the station worked, one's own side
// of that contact.
Result<Done> log_contact(Context& context, const ContactRequest& request);

struct ImportedLog {
    std::size_t added = 0;
    std::size_t known = 0;              // the same contact was there already
    std::vector<std::string> left_out;  // one sentence each, with record number and position
};
// An ADI log onto the own path. Good records are taken, the others named; a file without one good record is an error.
Result<ImportedLog> import_adi(Context& context, std::string_view text, std::string_view guest_of);

}  // namespace ladderline::node
