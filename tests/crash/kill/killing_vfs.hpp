#pragma once
// The system's VFS, which ends this process with SIGKILL at its Nth call that changes a file: before it, after it, or
// in the middle of a write.

#include <cstdint>

namespace ladderline::test {

inline constexpr const char* killing_vfs = "killing";

// Registers it with SQLite. 0: never.
void kill_at_call(std::int64_t at);

}  // namespace ladderline::test
