#pragma once
// What a command prints: words for a person, or JSON for a program. Both say the same.

#include <boost/json.hpp>
#include <string>

#include "node/commands/context.hpp"

namespace ladderline::node::cli {

struct Answer {
    std::string text;  // ends without a line break
    boost::json::value json;
};

// A done step: its sentence, and the id of the event that says so.
Answer answer_of(const Done& done);

// Exit codes: 0 done, 2 bad input, 3 refused by a gate or right, 4 not found, 5 wrong passphrase, 6 store damaged or
// made by a newer program, 7 busy, 8 disk, 9 network or peer, 10 cancelled or not yet.
int exit_code_of(Fault fault);

// "in 3 days", "today", "2 days ago".
std::string in_days(std::int32_t days);
// Joins lines with line breaks.
std::string lines(const std::vector<std::string>& all);

}  // namespace ladderline::node::cli
