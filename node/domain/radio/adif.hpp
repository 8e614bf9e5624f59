#pragma once
// Logs in the ADI form of the Amateur Data Interchange Format (ADIF 3.1.7; its ADI rules are those of 3.1.8 too).
//
//   file    = [header] record*
//   header  = anything, then fields, closed by <EOH>; there is none if the first character of the file is '<'
//   record  = field* <EOR>
//   field   = '<' NAME ':' LENGTH [':' TYPE] '>' data
//
// LENGTH is decimal digits, and data is exactly that many bytes, whatever they are: there is no escaping, and a '<'
// within data is data. What follows up to the next '<' is skipped. Names and types ignore case. The character set is
// ASCII 32 to 126, with CR LF in multi-line fields.
//
// The reader trusts no length: one that runs past the end, or swallows an end of record, spoils its own record only.
// Records before and after a bad one are still offered.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "node/domain/radio/band.hpp"
#include "node/domain/radio/mode.hpp"
#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

struct AdifField {
    std::string name;  // upper case
    std::string value;
    char type = 0;  // upper case letter, or 0 where none was given
};

// One record as it stands; fields that we do not know are kept.
struct AdifRecord {
    std::size_t number = 0;         // from 1; bad records count
    std::size_t byte_position = 0;  // of the first byte of the record, from 0
    std::vector<AdifField> fields;  // in the file's order, no name twice

    // The value of a field, or an empty text. `name` in upper case.
    std::string_view value(std::string_view name) const;
};

struct AdifProblem {
    std::size_t record_number = 0;  // 0: the header, or the file as a whole
    std::size_t byte_position = 0;  // from 0
    std::string sentence;           // says whether the record is among those offered
};

struct AdifFile {
    AdifRecord header;  // number 0
    std::vector<AdifRecord> records;
    std::vector<AdifProblem> problems;
};

// Never fails: what cannot be read is a problem. Linear in the size of the text for a well-formed file.
AdifFile read_adi(std::string_view text);

// One contact in our terms.
struct LogEntry {
    std::string call;                          // upper case, not empty
    WallTime start;                            // whole seconds
    std::optional<std::int64_t> frequency_hz;  // 1 to 7.5e12
    const Band* band = nullptr;                // never null unless there is a frequency, outside all bands
    Mode mode;                                 // mode.mode is not empty
    std::string rst_sent;                      // as written; weak-signal modes write decibels
    std::string rst_received;
    std::string station_callsign;  // sent on the air
    std::string operator_call;     // the person at the key
    std::string gridsquare;        // the other station's locator, as written
    std::string comment;

    bool operator==(const LogEntry&) const = default;
};

// The least that makes a contact: CALL, QSO_DATE, TIME_ON, BAND or FREQ, MODE. bad_input names the record, and the
// field that is missing or cannot be used. Seconds that are not given are 0.
Result<LogEntry> to_log_entry(const AdifRecord& record);

struct Log {
    std::vector<LogEntry> entries;
    std::vector<AdifProblem> problems;  // of the file and of its records, by record number
    // Names of fields that a contact of ours has no place for, in the order of the alphabet; what stands in them is not
    // in the entries.
    std::vector<std::string> unused_fields;
};

Log read_log(std::string_view text);

// What stands in the header of a file that we write.
struct AdifWriter {
    std::string program = "Ladderline";
    std::string program_version;
    WallTime created;
};

// A whole file. Fields that are empty are left out; a character outside the character set becomes '?', a line break in
// a one-line field a blank. read_log gives back equal entries if all texts are within the character set.
std::string write_adi(const AdifWriter& writer, std::span<const LogEntry> entries);

// The fields of one contact, in the order in which they are written.
AdifRecord to_record(const LogEntry& entry);

// "14.074": megahertz without trailing zeros, at least one digit before the point.
std::string to_megahertz(std::int64_t frequency_hz);
// Digits with at most one point, no sign and no exponent, rounded to 1 Hz. bad_input otherwise, or beyond 7.5e12 Hz.
Result<std::int64_t> parse_megahertz(std::string_view text);

}  // namespace ladderline::domain
