#pragma once
// Many seeds, one after another, with a line of progress; the first that fails is shrunk and told.

#include <functional>

#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

struct Campaign {
    std::uint64_t first = 1;
    std::uint64_t count = 1;
    PlanOptions options;
    bool tells_story = false;
    std::function<bool()> is_stopped = [] { return false; };
};

// One world of that plan. `story` may be null.
Outcome run_plan(const Plan& plan, Planted planted = Planted::none, Story* story = nullptr);
// True if no seed failed. Prints what was done.
bool run_campaign(const Campaign& campaign);

}  // namespace ladderline::simulation
