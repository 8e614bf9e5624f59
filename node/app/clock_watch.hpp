#pragma once
// Listens, while a node runs, to what others' words say of the time, and has it noted if this machine's clock, or one
// of theirs, must be wrong (domain/clock/doubt.hpp). Nothing is asked of the network, and nothing is kept but the note.

#include <functional>
#include <map>

#include "node/commands/clock_note.hpp"

namespace ladderline::node {

class ClockWatch {
public:
    // `was_in_step`: a link to the device with that key is up, and both held the same before its last news; so these
    // were written just now. The context outlives it.
    ClockWatch(Context& context, std::optional<WallTime> made,
               std::function<bool(const protocol::DhPublic&)> was_in_step);

    // What was noted of others' clocks before is of another day, and goes.
    void start();
    // News of the circle has come from a peer over a connection, and both hold the same.
    void on_settled(const protocol::CircleId& circle);
    // Again, by what is known now.
    void look();

private:
    struct Heard {
        std::string whose;
        std::int64_t ahead_ms = 0;
        std::int64_t drift_ms = 0;  // of this machine's clock beyond its running time, when it was heard
    };
    std::int64_t drift_ms() const;
    void take(const ClockWord& word);

    Context& context_;
    std::optional<WallTime> made_;
    std::function<bool(const protocol::DhPublic&)> was_in_step_;
    std::uint64_t arrivals_ = 0;                        // when it started
    std::map<protocol::CircleId, std::uint64_t> seen_;  // arrivals that were looked at
    std::map<protocol::DeviceId, Heard> heard_;
};

}  // namespace ladderline::node
