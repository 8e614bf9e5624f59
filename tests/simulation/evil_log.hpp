#pragma once
// A log as a dishonest member writes it: every slip and lie that a program of their own could make.

#include "protocol/event/kinds.hpp"
#include "tests/simulation/world.hpp"
#include "tests/support/protocol/log_writer.hpp"

namespace ladderline::simulation {

// What a dishonest member knows of a circle.
struct EvilSeat {
    World& world;
    Node& node;
    const Circle& circle;
    protocol::CircleState state;
    protocol::AeadKey key;
    Dice dice;
};

// The run reaches a station: any one, or the liar's own, from where it spreads. What is not sound must be refused as a
// peer's fault and nothing else.
void inject(EvilSeat& seat, Station& victim, const protocol::CircleId& circle, const protocol::Run& run);
void spread(EvilSeat& seat, const protocol::Run& run);
// Somebody at random who is up.
Station& some_station(EvilSeat& seat);

inline protocol::Body evil_body(EvilSeat& seat, std::uint16_t kind, Bytes payload) {
    const std::int64_t wall = seat.node.clock(seat.world.now).ms;
    return {{{wall}, static_cast<std::uint32_t>(seat.dice.below(3))}, kind, {}, std::move(payload)};
}

}  // namespace ladderline::simulation
