#pragma once
// LADDERLINE_TEST_SIZE: how many times their usual load heavy suites take; 1 unless set.

#include <algorithm>
#include <cstdlib>

namespace ladderline::test {

inline int test_size() {
    const char* value = std::getenv("LADDERLINE_TEST_SIZE");
    return value == nullptr ? 1 : std::max(1, std::atoi(value));
}

}  // namespace ladderline::test
