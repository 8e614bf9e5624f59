#pragma once
// What honest members do: only what the production gates would let them, with the lists that the commands make.

#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

void act(World& world, const Step& step);
// Stores own events as one step, and notes what was confirmed. False if the disk said no.
bool say(World& world, Node& node, const protocol::CircleId& circle, std::uint16_t kind, Bytes payload,
         std::vector<protocol::EventId> supersedes = {});
void rotate_if_due(World& world, Node& node, const protocol::CircleId& circle, bool always);
// The key, from one hand to another; as a welcome does it.
void hand_key(World& world, Node& from, Node& to, const protocol::CircleId& circle);

// A drawn word on a drawn subject.
struct Words {
    std::uint16_t kind = 0;
    Bytes payload;
    bool is_register = false;
};
Words words(World& world, Node& node, const protocol::CircleId& circle, Dice& dice);

}  // namespace ladderline::simulation
