#pragma once
// What will happen in one world, step by step, drawn from the seed before anything runs. Each step has dice of its own,
// so that leaving some out does not change what the others do by themselves: that is what makes shrinking work.

#include <cstdint>
#include <vector>

#include "protocol/circle/bodies.hpp"
#include "tests/simulation/dice.hpp"

namespace ladderline::simulation {

enum class What : std::uint8_t {
    // what members do
    say,
    admit,
    certify,
    set_role,
    remove,
    leave,
    revoke,
    extend,
    rotate,
    consent,
    paper_box,
    take_back,
    // the network
    call,
    carry_on,
    cut,
    part,
    join,
    bundle,
    hand_over,
    // machines
    stop,
    kill,
    power_cut,
    disk_fault,
    back_up,
    put_back,
    clone,
    clock,
    wait,
    // a dishonest member, one for each way (byzantine.hpp)
    evil,
};
inline constexpr std::size_t whats = static_cast<std::size_t>(What::evil) + 1;

struct Step {
    What what = What::say;
    std::size_t who = 0;    // a station's number
    std::size_t other = 0;  // another's
    std::uint64_t dice = 0;
};

struct Shape {
    protocol::CircleKind kind = protocol::CircleKind::club;
    bool is_minor = false;  // a path's newcomer
    bool two_circles = false;
    std::size_t nodes = 4;
    std::size_t spare_devices = 0;  // the last of the nodes: second devices of earlier ones
    std::size_t couriers = 0;
    bool courier_lies = false;
    bool couriers_keep = false;     // honest ones have the production store, and can be killed
    std::size_t byzantine = 0;      // the last members
    std::size_t ways_to_lie = 0;    // of those in byzantine.hpp, the first ones
    bool real_connections = false;  // Noise between nodes; otherwise a drawn binding
    bool faults = true;

    std::size_t members() const { return nodes - spare_devices; }
    // Whose device a node is.
    std::size_t owner_of(std::size_t node) const { return node < members() ? node : node * 7 % members(); }
};

struct Plan {
    std::uint64_t seed = 0;
    Shape shape;
    std::vector<Step> steps;
};

struct PlanOptions {
    std::size_t nodes = 0;  // 0: drawn
    std::size_t steps = 0;  // 0: drawn
    bool byzantine = false;
    std::size_t ways_to_lie = 0;  // 0: all there are
    bool faults = true;
    bool takes_back = true;  // members take their words back now and then
};

Plan make_plan(std::uint64_t seed, const PlanOptions& options);

}  // namespace ladderline::simulation
