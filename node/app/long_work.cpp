#include "node/app/long_work.hpp"

#include <csignal>
#include <cstdio>

namespace ladderline::node {
namespace {

constexpr std::int64_t word_each_ms = 1000;

volatile std::sig_atomic_t asked_to_stop = 0;
struct sigaction before {};

void on_signal(int) {
    asked_to_stop = 1;
}

}  // namespace

LongWork::LongWork(Clock& clock, std::string what)
    : clock_(clock), what_(std::move(what)), next_word_(clock.monotonic() + word_each_ms) {
    asked_to_stop = 0;
    struct sigaction ours {};
    ours.sa_handler = on_signal;
    sigemptyset(&ours.sa_mask);
    sigaction(SIGINT, &ours, &before);
}

LongWork::~LongWork() {
    sigaction(SIGINT, &before, nullptr);
    if (has_spoken_) std::fputc('\n', stderr);
}

bool LongWork::going_on(std::int64_t done, std::int64_t total) {
    const MonoTime now = clock_.monotonic();
    if (now >= next_word_ && total > 0) {
        std::fprintf(stderr, "\r%s: %d of 100 (Ctrl-C stops, nothing is lost)", what_.c_str(),
                     static_cast<int>(done * 100 / total));
        std::fflush(stderr);
        next_word_ = now + word_each_ms;
        has_spoken_ = true;
    }
    return asked_to_stop == 0;
}

}  // namespace ladderline::node
