#pragma once
// ENSURE: a condition that only a bug of ours can break. Always on. Never use it on foreign input:
// a peer's bad bytes and a person's slip are values (result.hpp), not reasons to end the process.

#include <cstdio>
#include <cstdlib>

namespace ladderline::detail {

[[noreturn]] inline void ensure_failed(const char* condition, const char* file, int line) {
    std::fprintf(stderr, "ladderline: internal error: %s does not hold (%s:%d)\n", condition, file, line);
    std::abort();
}

}  // namespace ladderline::detail

#define ENSURE(condition) \
    ((condition) ? static_cast<void>(0) : ::ladderline::detail::ensure_failed(#condition, __FILE__, __LINE__))
