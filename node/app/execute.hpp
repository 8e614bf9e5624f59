#pragma once
// Runs a command on an open store and turns its outcome into what is printed.

#include "node/app/control.hpp"
#include "node/cli/command_line.hpp"

namespace ladderline::node {

// refused: the command is for a courier's store and this is none, or the other way round.
Result<void> fits_store(const cli::CommandLine& line, Context& context);
// `command` is set in `line`.
ControlAnswer execute(const cli::CommandLine& line, Context& context);
// An error as text, or as JSON: {"error": sentence, "exit_code": number}.
ControlAnswer to_answer(const Error& error, bool json);
ControlAnswer to_answer(const cli::Answer& answer, bool json);

}  // namespace ladderline::node
