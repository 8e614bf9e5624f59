// Preloaded into a program that a drive starts: what the C++ library says of the wall clock is $LADDERLINE_LATER_DAYS
// days ahead, so that what waits for a month (a review of a pairing) is driven on live nodes. The steady clock is left
// as it is. A time point is returned as the whole number of nanoseconds that it holds.

#include <dlfcn.h>

#include <cstdint>
#include <cstdlib>

#define WALL_CLOCK "_ZNSt6chrono3_V212system_clock3nowEv"

extern "C" std::int64_t later_moment() noexcept asm(WALL_CLOCK);

extern "C" std::int64_t later_moment() noexcept {
    using Real = std::int64_t (*)();
    static const Real real = reinterpret_cast<Real>(dlsym(RTLD_NEXT, WALL_CLOCK));
    constexpr std::int64_t day_ns = 86'400'000'000'000;
    const char* days = std::getenv("LADDERLINE_LATER_DAYS");
    return real() + (days != nullptr ? day_ns * std::strtol(days, nullptr, 10) : 0);
}
