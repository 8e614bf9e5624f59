#pragma once
// While one of these lives no allocation of this thread is made to fail: for the test's own machinery below SQLite,
// which stands in for a disk and takes no memory of the program's.

namespace ladderline::test {

class NoFailures {
public:
    NoFailures() { ++depth; }
    ~NoFailures() { --depth; }
    NoFailures(const NoFailures&) = delete;
    NoFailures& operator=(const NoFailures&) = delete;

    static inline thread_local int depth = 0;
};

}  // namespace ladderline::test
