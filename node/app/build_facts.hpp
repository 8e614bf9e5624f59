#pragma once
// What this program is and was made of: what somebody who reports a fault is asked for first.

#include <optional>

#include "node/cli/answer.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node {

// Version, commit (as of the last run of CMake; "not known" where there was no repository), compiler, and the
// libraries: those that come as shared files as they are found now, the others as they were built in.
cli::Answer build_facts();

// When its commit was made; none where that is not known.
std::optional<WallTime> program_made();

}  // namespace ladderline::node
