#include "node/app/system_env.hpp"

#include <sys/random.h>

#include <cerrno>
#include <chrono>

namespace ladderline::node {

WallTime SystemClock::wall() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

MonoTime SystemClock::monotonic() {
    const auto since = std::chrono::steady_clock::now().time_since_epoch();
    return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
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
