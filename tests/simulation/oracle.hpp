#pragma once
// What must hold of every network once it has come to rest.
//
//   - all honest nodes of present members hold the same events within three rounds after the last fault
//   - equal events and keys: equal state digests; and the same digest after all tables are built anew
//   - the tables of the pages are what the plain model (reference_model.hpp) says of the same events
//   - an honest courier's root is the members' root
//   - nothing that was confirmed to an honest author is gone

#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

// Ends all faults and lets everybody talk with everybody, round by round.
void quiesce(World& world);
void judge(World& world);
// Before a node goes back in time: what nobody else holds may be lost with its disk.
void excuse(World& world, Node& node);

// Bundles on sticks.
void write_parcels(World& world, std::size_t from, Dice& dice);
void hand_over_parcel(World& world, std::size_t to, Dice& dice);

}  // namespace ladderline::simulation
