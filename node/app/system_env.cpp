#include "node/app/system_env.hpp"

#include <sys/random.h>

#include <cerrno>
#include <chrono>
#include <ctime>

namespace ladderline::node {

WallTime SystemClock::wall() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

MonoTime SystemClock::monotonic() {
    // Goes on while the machine sleeps, as std::chrono::steady_clock does not: a lid that is shut locks the pages too.
    timespec since{};
    ENSURE(clock_gettime(CLOCK_BOOTTIME, &since) == 0);
    return {since.tv_sec * std::int64_t{1000} + since.tv_nsec / 1'000'000};
}

void SystemRandom::fill(MutableByteView out) {
    while (!out.empty()) {
        const ssize_t got = getrandom(out.data(), out.size(), 0);
        if (got < 0 && errno == EINTR) continue;
        ENSURE(got > 0);
        out = out.subspan(static_cast<std::size_t>(got));
    }
}

}  // namespace ladderline::node
