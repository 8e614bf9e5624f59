#include "tests/scale/experiment.hpp"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <numeric>
#include <thread>

namespace ladderline::scale {
namespace {

void run_beside_production(Outcome& out, CpuClock cpu_s) {
    Plan plan;
    plan.members = out.effort.club_members;
    plan.seed = out.effort.seed;
    plan.days = out.effort.real_days;
    Club club(plan);
    RealVisits real(club, out.effort.seed, out.effort.real_one_in, cpu_s);
    club.set_witness(&real);
    club.run();
    out.real_club = club.figures();
    out.agreement = real.agreement();
    out.disagreements = real.disagreements();
    out.worst_formula = real.worst_formula();
}

// In the order in which run_all takes their figures.
std::vector<Plan> all_plans(const Effort& effort) {
    Plan plan;
    plan.members = effort.club_members;
    plan.days = effort.days;
    std::vector<Plan> out;
    for (std::uint32_t i = 0; i < effort.clubs.back(); ++i) {
        plan.seed = effort.seed + i;
        out.push_back(plan);
    }
    plan.seed = effort.seed;
    for (const Effort::Size& size : effort.sizes) {
        out.push_back(plan);
        out.back().members = size.members;
        out.back().days = size.days;
    }
    for (const std::uint32_t pause_s : effort.pauses_s) {
        out.push_back(plan);
        out.back().assumed.again_s = pause_s;
        out.back().assumed.again_spread_s = pause_s / 5;
    }
    for (const double talk : effort.talks) {
        out.push_back(plan);
        out.back().talk = talk;
    }
    return out;
}

// Clubs share nothing, so they run side by side; each one's figures follow from its plan alone. The large ones go
// first.
std::vector<Figures> run_clubs(const std::vector<Plan>& plans, const std::function<void(const std::string&)>& say) {
    std::vector<std::size_t> order(plans.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return plans[a].members > plans[b].members; });
    std::vector<Figures> out(plans.size());
    std::atomic<std::size_t> taken = 0;
    std::mutex speaking;
    const auto work = [&] {
        for (std::size_t i = taken++; i < order.size(); i = taken++) {
            Club club(plans[order[i]]);
            club.run();
            out[order[i]] = club.figures();
            const std::lock_guard<std::mutex> alone(speaking);
            say("club " + std::to_string(i + 1) + " of " + std::to_string(order.size()));
        }
    };
    std::vector<std::jthread> workers;
    for (unsigned i = 0; i < std::max(1U, std::thread::hardware_concurrency()); ++i) workers.emplace_back(work);
    workers.clear();
    return out;
}

}  // namespace

Outcome run_all(const Effort& effort, CpuClock cpu_s, const std::function<void(const std::string&)>& say) {
    Outcome out;
    out.effort = effort;
    run_beside_production(out, cpu_s);
    say("one club with the production objects beside the model");
    const std::vector<Figures> all = run_clubs(all_plans(effort), say);
    auto next = all.begin();
    Figures sum;
    for (std::uint32_t i = 0; i < effort.clubs.back(); ++i) {
        sum.add(*next++);
        for (const std::uint32_t clubs : effort.clubs) {
            if (clubs == i + 1) out.by_clubs.push_back(sum);
        }
    }
    const auto take = [&](std::vector<Figures>& into, std::size_t count) {
        into.assign(next, next + static_cast<std::ptrdiff_t>(count));
        next += static_cast<std::ptrdiff_t>(count);
    };
    take(out.by_size, effort.sizes.size());
    take(out.by_pause, effort.pauses_s.size());
    take(out.by_talk, effort.talks.size());
    out.store = weigh_stores(effort.store_logs, effort.store_events);
    say("stores");
    return out;
}

double after_a_year(const Tally& start, const Tally& end, std::uint32_t days) {
    return start.mean() + (end.mean() - start.mean()) * 365 / days;
}

}  // namespace ladderline::scale
