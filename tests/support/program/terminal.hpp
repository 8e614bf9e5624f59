#pragma once
// The real program on a terminal of its own: a test reads what a person would see, and types.

#include <sys/types.h>

#include "tests/support/program/program.hpp"

namespace ladderline::test {

class Terminal {
public:
    Terminal(const Person& person, std::vector<std::string> words);
    ~Terminal();
    Terminal(const Terminal&) = delete;
    Terminal& operator=(const Terminal&) = delete;

    // Reads until `part` has been shown; everything since the last call, up to its end. An exception if the program
    // ends before.
    std::string read_to(const std::string& part);
    void type(const std::string& line);
    // Reads to the end and waits; the exit code as in Outcome.
    int end();
    // What was shown after the last read_to(), once end() was called.
    const std::string& rest() const { return seen_; }

private:
    bool read_more();

    pid_t pid_ = -1;
    int screen_ = -1;
    std::string seen_;
};

}  // namespace ladderline::test
