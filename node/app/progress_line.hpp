#pragma once
// Long work on this terminal: a line that says how far it is once it takes over a second, and Ctrl-C that stops it with
// everything left as it was.

#include "protocol/base/time.hpp"
#include "store/upkeep/progress.hpp"

namespace ladderline::node {

// One at a time in a process. While it lives SIGINT is a wish to stop, told at the next question.
class ProgressLine {
public:
    // `what` is a literal: "Copying". `clock` outlives the object.
    ProgressLine(Clock& clock, const char* what);
    ~ProgressLine();
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    // Valid as long as the object.
    store::Progress progress();

private:
    bool go_on(std::uint64_t done, std::uint64_t total);

    Clock& clock_;
    const char* what_;
    MonoTime next_;
    bool is_shown_ = false;
};

}  // namespace ladderline::node
