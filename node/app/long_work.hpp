#pragma once
// Work that may take longer than a moment: says how far it is once a second has passed, and stops on Ctrl-C.

#include <cstdint>
#include <string>

#include "protocol/base/time.hpp"

namespace ladderline::node {

// While it lives, SIGINT no longer ends the process but makes going_on() false. One at a time.
class LongWork {
public:
    // `what`: "Copying the store"; begins the line on the terminal.
    LongWork(Clock& clock, std::string what);
    ~LongWork();
    LongWork(const LongWork&) = delete;
    LongWork& operator=(const LongWork&) = delete;

    // False once it was asked to stop. Prints to the error stream, at most once a second.
    bool going_on(std::int64_t done, std::int64_t total);

private:
    Clock& clock_;
    std::string what_;
    MonoTime next_word_;
    bool has_spoken_ = false;
};

}  // namespace ladderline::node
