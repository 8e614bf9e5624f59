#pragma once
// What speaks against this machine's clock: kept beside the events, so that pages and commands say it. Nothing in it is
// synced, and nothing is decided by it.

#include "node/commands/context.hpp"
#include "node/domain/clock/doubt.hpp"

namespace ladderline::node {

// One passage for a person; empty if nothing speaks against it.
Result<std::string> clock_note(Context& context);

// What is known besides the clock itself and what this device has written.
struct ClockKnown {
    std::optional<WallTime> made;  // the program
    // None: nobody listens to others now, so what was said of their clocks stands.
    std::optional<std::vector<domain::OtherClock>> others;
};
// Looks at the clock and keeps what is found. What this device wrote is no sign any more once others agreed with a
// clock that is behind it.
Result<void> look_at_clock(Context& context, const ClockKnown& known);

// The newest words of somebody's device, as its clock said.
struct ClockWord {
    protocol::DeviceId device;
    protocol::DhPublic noise;
    std::string whose;  // "Ben", "your other device"
    WallTime said;
};
// Of devices in the circle whose logs grew after that arrival, in order of arrival; of a first load only the last ones.
Result<std::vector<ClockWord>> clock_words(Context& context, const protocol::CircleId& circle, std::uint64_t after);

}  // namespace ladderline::node
