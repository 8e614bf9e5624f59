#pragma once
// Many seeds, one after another, with a line of progress; the first that fails is shrunk and told.

#include <functional>

#include "tests/simulation/world.hpp"

namespace ladderline::simulation {

struct Campaign {
    // Networks; or single sets of control events; or sessions with a liar at one end.
    enum class Which : std::uint8_t { networks, folds, plain_folds, sessions };

    Which what = Which::networks;
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
