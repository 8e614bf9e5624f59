#include "tests/simulation/plan.hpp"

#include <algorithm>
#include <array>

#include "tests/simulation/byzantine.hpp"

namespace ladderline::simulation {
namespace {

using protocol::CircleKind;

struct Weight {
    What what;
    unsigned weight;
};

// Chosen so that most of a world is people writing and nodes talking, and every fault still comes in each tenth seed.
constexpr std::array<Weight, 27> honest_weights{{
    {What::say, 300},     {What::admit, 24},     {What::certify, 14},   {What::set_role, 10}, {What::remove, 9},
    {What::leave, 3},     {What::revoke, 5},     {What::extend, 6},     {What::rotate, 8},    {What::consent, 6},
    {What::paper_box, 4}, {What::call, 150},     {What::carry_on, 250}, {What::cut, 40},      {What::part, 8},
    {What::join, 10},     {What::bundle, 12},    {What::hand_over, 20}, {What::stop, 6},      {What::kill, 8},
    {What::power_cut, 8}, {What::disk_fault, 8}, {What::back_up, 5},    {What::put_back, 4},  {What::clone, 2},
    {What::clock, 8},     {What::wait, 12},
}};

bool is_fault(What what) {
    return what >= What::part && what != What::bundle && what != What::hand_over && what != What::wait;
}

Shape make_shape(Dice& dice, const PlanOptions& options) {
    Shape shape;
    const std::size_t kind = dice.below(10);
    shape.kind = kind < 6 ? CircleKind::club : kind < 9 ? CircleKind::path : CircleKind::desk;
    shape.is_minor = shape.kind == CircleKind::path && dice.chance(40);
    shape.two_circles = shape.kind != CircleKind::desk && dice.chance(20);
    shape.nodes = options.nodes > 0 ? options.nodes : 3 + std::min(dice.below(10), dice.below(10));
    shape.spare_devices = shape.kind == CircleKind::desk ? shape.nodes - 1 : dice.below(1 + shape.nodes / 2);
    shape.couriers = dice.chance(35) ? 1 + dice.below(2) : 0;
    shape.courier_lies = shape.couriers > 0 && dice.chance(30);
    if (options.byzantine) {
        if (shape.kind == CircleKind::desk) shape.kind = CircleKind::club;
        shape.spare_devices = std::min(shape.spare_devices, shape.nodes - 2);
        shape.byzantine = 1 + dice.below(1 + (shape.members() - 2) / 2);
        shape.ways_to_lie = options.ways_to_lie > 0 ? options.ways_to_lie : ways_to_lie;
    }
    shape.real_connections = dice.chance(10);
    shape.faults = options.faults && !dice.chance(10);
    return shape;
}

What draw(Dice& dice, const Shape& shape) {
    if (shape.byzantine > 0 && dice.chance(8)) return What::evil;
    unsigned sum = 0;
    for (const Weight& w : honest_weights) sum += w.weight;
    for (;;) {
        std::size_t at = dice.below(sum);
        for (const Weight& w : honest_weights) {
            if (at < w.weight) {
                if (is_fault(w.what) && !shape.faults) break;
                return w.what;
            }
            at -= w.weight;
        }
    }
}

// Between the other steps, which stay as they were drawn.
void add_take_backs(Plan& plan, Dice dice) {
    constexpr std::size_t rare = 200;
    std::vector<Step> steps;
    for (const Step& step : plan.steps) {
        steps.push_back(step);
        const std::size_t who = dice.below(plan.shape.nodes);
        const std::uint64_t own = dice.next();
        if (dice.below(rare) == 0) steps.push_back({What::take_back, who, who, own});
    }
    plan.steps = std::move(steps);
}

}  // namespace

Plan make_plan(std::uint64_t seed, const PlanOptions& options) {
    Dice dice(mixed(seed, 1));
    Plan plan;
    plan.seed = seed;
    plan.shape = make_shape(dice, options);
    plan.shape.couriers_keep = Dice(mixed(seed, 9)).chance(60);
    const std::size_t stations = plan.shape.nodes + plan.shape.couriers;
    // Most people are let in first; a world in which nobody ever meets says little.
    for (std::size_t i = 1; i < plan.shape.nodes; ++i) {
        const std::size_t by = i < plan.shape.members() ? 0 : plan.shape.owner_of(i);
        if (!dice.chance(85)) continue;
        plan.steps.push_back({by == 0 && i < plan.shape.members() ? What::admit : What::certify, by, i, dice.next()});
        plan.steps.push_back({What::call, by, i, dice.next()});
        plan.steps.push_back({What::carry_on, by, i, dice.next()});
    }
    const std::size_t count = options.steps > 0 ? options.steps : 60 + dice.below(240);
    for (std::size_t i = 0; i < count; ++i) {
        Step step{draw(dice, plan.shape), dice.below(stations), dice.below(stations), dice.next()};
        if (step.what == What::evil) step.who = plan.shape.members() - 1 - dice.below(plan.shape.byzantine);
        plan.steps.push_back(step);
    }
    if (options.takes_back) add_take_backs(plan, Dice(mixed(seed, 10)));
    return plan;
}

}  // namespace ladderline::simulation
