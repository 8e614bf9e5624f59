#pragma once
// Whole logs as files: an ADI file taken in, the own log given out as ADI (ADIF) or as a table (RFC 4180).

#include "node/commands/way.hpp"
#include "node/domain/radio/adif.hpp"

namespace ladderline::node {

struct ImportRequest {
    std::string text;           // of the ADI file
    std::string guest_of = {};  // all of it was done as the guest of this licensed operator
    bool another = false;       // whatever looks the same in the log is another contact
};
struct ImportedLog {
    std::size_t added = 0;
    std::size_t known = 0;                   // the same contact, to the minute, was there already
    std::size_t as_guest = 0;                // of those added
    std::vector<std::string> left_out;       // one sentence each, with record number and position
    std::vector<std::string> shortened;      // what of the contacts added found no place, one sentence each
    std::vector<std::string> unused_fields;  // of the file: there is no place for them here
};
// An ADI log onto the own path. Good records are taken, the others named; a file without one good record is an error.
// Where an own call sign is known and a record names another one as the station, its owner was that station's guest.
// cancelled: what was taken in until then stays, and the rest comes when the file is read again.
Result<ImportedLog> import_adi(Context& context, const ImportRequest& request);

// For other programs. `own_call` is the call sign of the person at the key; empty if they have none.
domain::LogEntry log_entry(const protocol::ContactBody& contact, const std::string& own_call);

struct LogFiles {
    std::string adi;
    std::string csv;
    std::size_t contacts = 0;
    std::size_t changed_characters = 0;  // texts in which ADI's character set has no room for something
};
// The own log as it stands, oldest first.
Result<LogFiles> own_log_files(Context& context);

}  // namespace ladderline::node
