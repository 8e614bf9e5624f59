#pragma once
// Many seeds, one after another, with a line of progress; the first that fails is shrunk and told.

#include <functional>
#include <string>

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
// "orders of events 1-3000: 3000 run, 0 failed": what every campaign and the tests say, and tests/scorecard reads.
std::string told(const std::string& what, std::uint64_t first, std::uint64_t run, std::uint64_t failed);
// True if no seed failed. Prints what was done.
bool run_campaign(const Campaign& campaign);

}  // namespace ladderline::simulation
