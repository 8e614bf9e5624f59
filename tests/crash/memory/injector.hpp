#pragma once
// Makes the Nth allocation of this thread fail: SQLite's, operator new, and guarded memory, counted together.
// A binary with it must do nothing with SQLite before main().

#include <cstdint>

namespace ladderline::test {

// Allocation number `at` from now (the first is 1) fails, and with `lasting` every one behind it. 0: none.
void fail_allocation(std::int64_t at, bool lasting);
void stop_failing();
// Since the last fail_allocation().
std::int64_t allocations();
// How many of all kinds failed so far, one after another in this order: SQLite's, operator new, guarded memory.
struct FailedAllocations {
    std::int64_t sqlite = 0;
    std::int64_t plain = 0;
    std::int64_t guarded = 0;
};
FailedAllocations failed_allocations();

}  // namespace ladderline::test
