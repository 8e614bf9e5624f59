#include "tests/scale/experiment.hpp"

namespace ladderline::scale {
namespace {

Figures run_club(const Plan& plan) {
    Club club(plan);
    club.run();
    return club.figures();
}

}  // namespace

Outcome run_all(const Effort& effort, CpuClock cpu_s, const std::function<void(const std::string&)>& say) {
    Outcome out;
    out.effort = effort;
    Plan plan;
    plan.members = effort.club_members;
    plan.seed = effort.seed;
    plan.days = effort.real_days;
    {
        Club club(plan);
        RealVisits real(club, effort.seed, effort.real_one_in, cpu_s);
        club.set_witness(&real);
        club.run();
        out.real_club = club.figures();
        out.agreement = real.agreement();
        out.disagreements = real.disagreements();
        out.worst_formula = real.worst_formula();
    }
    say("one club with the production objects beside the model");
    plan.days = effort.days;
    Figures all;
    for (std::uint32_t i = 0; i < effort.clubs.back(); ++i) {
        plan.seed = effort.seed + i;
        all.add(run_club(plan));
        for (const std::uint32_t clubs : effort.clubs) {
            if (clubs == i + 1) out.by_clubs.push_back(all);
        }
    }
    say("all clubs");
    plan.seed = effort.seed;
    for (const Effort::Size& size : effort.sizes) {
        Plan other = plan;
        other.members = size.members;
        other.days = size.days;
        out.by_size.push_back(run_club(other));
        say("a club of " + std::to_string(size.members));
    }
    for (const std::uint32_t pause_s : effort.pauses_s) {
        Plan other = plan;
        other.assumed.again_s = pause_s;
        other.assumed.again_spread_s = pause_s / 5;
        out.by_pause.push_back(run_club(other));
    }
    for (const double talk : effort.talks) {
        Plan other = plan;
        other.talk = talk;
        out.by_talk.push_back(run_club(other));
    }
    say("pauses and talk");
    out.store = weigh_stores(effort.store_events);
    say("stores");
    return out;
}

double after_a_year(const Tally& start, const Tally& end, std::uint32_t days) {
    return start.mean() + (end.mean() - start.mean()) * 365 / days;
}

}  // namespace ladderline::scale
