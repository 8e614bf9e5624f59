#pragma once
// Whether a machine's clock can be right, from what is known without asking the network for the time.

#include <optional>
#include <vector>

#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Differences up to this are no sign of a wrong clock: what a node writes may follow another's clock by five minutes,
// and words take a while.
inline constexpr std::int64_t clock_margin_ms = 15 * 60'000;

// What another machine's clock said beside this one's.
struct OtherClock {
    std::string whose;          // "Ben", "your other device"; once a machine
    std::int64_t ahead_ms = 0;  // of this one; below 0 if it is behind
};

struct ClockFacts {
    WallTime now;                        // as this machine says
    std::optional<WallTime> made;        // this program; none: not known
    std::optional<WallTime> own_newest;  // what this device itself wrote last
    std::vector<OtherClock> others;
};

enum class ClockSign : std::uint8_t {
    before_program,    // this machine's time is from before the program was made
    most_others,       // two machines or more disagree in one direction, and fewer agree
    before_own_words,  // this device has written something later, and no other machine agrees with its time now
    some_others,       // somebody's clock is wrong, and it is not known whose
};

struct ClockDoubt {
    ClockSign sign = ClockSign::some_others;
    std::string sentence;  // what is seen, what is kept, what to do; no names but those given
};

// The strongest sign alone, in the order of ClockSign; none if nothing speaks against the clock.
std::optional<ClockDoubt> clock_doubt(const ClockFacts& facts);

// How far the clock that said `theirs` is ahead of one that says `ours`; times beyond the years 1970 to 9999, which
// somebody else's program may write, count as their edges.
std::int64_t ahead_ms(WallTime theirs, WallTime ours);

}  // namespace ladderline::domain
