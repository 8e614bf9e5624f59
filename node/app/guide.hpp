#pragma once
// The first ten minutes as a dialogue: who you are, a passphrase, the spare key on paper, the first circle.

#include <filesystem>

#include "node/app/env.hpp"
#include "node/cli/command_line.hpp"

namespace ladderline::node {

// Asks on standard output and reads answers from standard input, line by line. What the command line says already is
// not asked. Nothing is made before the person has seen it all again and said yes; what is made afterwards stays, also
// when the answers end. Gives the exit code.
int begin_by_guide(const cli::CommandLine& line, const std::filesystem::path& folder, Env& env);

}  // namespace ladderline::node
