#include "node/app/progress_line.hpp"

#include <unistd.h>

#include <csignal>
#include <cstdio>

namespace ladderline::node {
namespace {

constexpr std::int64_t quiet_ms = 1000;
constexpr std::int64_t between_lines_ms = 250;

volatile std::sig_atomic_t stop_wanted = 0;

void want_stop(int) {
    stop_wanted = 1;
}

void on_interrupt(void (*handler)(int)) {
    struct sigaction action {};
    action.sa_handler = handler;
    sigaction(SIGINT, &action, nullptr);
}

}  // namespace

ProgressLine::ProgressLine(Clock& clock, const char* what)
    : clock_(clock), what_(what), next_{clock.monotonic().ms + quiet_ms} {
    stop_wanted = 0;
    on_interrupt(want_stop);
}

ProgressLine::~ProgressLine() {
    on_interrupt(SIG_DFL);
    if (is_shown_) std::fputs("\r\033[K", stderr);
}

store::Progress ProgressLine::progress() {
    return [this](std::uint64_t done, std::uint64_t total) { return go_on(done, total); };
}

bool ProgressLine::go_on(std::uint64_t done, std::uint64_t total) {
    const MonoTime now = clock_.monotonic();
    if (now.ms >= next_.ms && isatty(STDERR_FILENO) != 0) {
        next_.ms = now.ms + between_lines_ms;
        is_shown_ = true;
        if (total > 1) {
            std::fprintf(stderr, "\r%s: %llu %% (Ctrl-C stops it)\033[K", what_,
                         static_cast<unsigned long long>(done * 100 / total));
        } else {
            std::fprintf(stderr, "\r%s: checking (Ctrl-C stops it)\033[K", what_);
        }
    }
    return stop_wanted == 0;
}

}  // namespace ladderline::node
