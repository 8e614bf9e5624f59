#pragma once
// A contact as one line, as people write it on a sheet of paper while they listen:
//
//   line   = [time] call {frequency | mode | report} [remark]      a contact
//          | day                                                   the day of the lines below it
//
// time is 1905, 19:05 or 1905Z. frequency has a point and is in MHz; "MHz" may follow it. mode is a name of mode.hpp in
// capitals (FM, SSB, CW, FT8 and a few more also in small letters). report is 59, 599, 5NN or decibels with a sign
// (-12, +03); the first is the one given, the second the one got. The remark begins with the first word that is none of
// these, or behind a "/" that stands alone. Blanks and tabs part the words; a day is 2026-11-25.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

struct LogLine {
    std::optional<std::int32_t> minute_of_day;  // 0 to 1439, by whichever clock the sheet is kept
    std::string call;                           // as written, with a digit in it
    std::string frequency;                      // MHz; empty if not in the line
    std::string mode;
    std::string sent;
    std::string received;
    std::string remark;
};

// Empty lines, and lines that begin with '#', are none.
using LineRead = std::variant<std::monostate, Day, LogLine>;
// bad_input: one sentence about what is wrong, without the line itself.
Result<LineRead> read_log_line(std::string_view line);

// The line from which read_log_line makes the same again.
std::string write_log_line(const LogLine& line);

// Which day a time of day belongs to where the last line was at `last_minute` of `last_day`: the same, or the next one
// where the time went back by more than half a day (an evening goes past midnight UTC).
Day day_of_line(Day last_day, std::int32_t last_minute, std::int32_t minute);

}  // namespace ladderline::domain
