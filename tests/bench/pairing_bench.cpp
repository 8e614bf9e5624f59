// CPU times of pairing, triage and survival at sizes well beyond a club. Prints; never fails on time.

#include <sys/resource.h>

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <string>
#include <vector>

#include "node/domain/pairing/assignment.hpp"
#include "node/domain/pairing/exchange.hpp"
#include "node/domain/pairing/fair.hpp"
#include "node/domain/review/cohorts.hpp"
#include "node/domain/review/outcomes.hpp"
#include "node/domain/review/triage.hpp"
#include "tests/support/domain/pairing_instances.hpp"

using namespace ladderline;
using namespace ladderline::domain;
using ladderline::test::generated_pairing;
using ladderline::test::SplitMix;

namespace {

constexpr int rounds = 3;

// Best of a few rounds, CPU milliseconds.
template <class Work>
double best_ms(const Work& work) {
    double best = 0;
    for (int k = 0; k < rounds; ++k) {
        const std::clock_t start = std::clock();
        work();
        const double ms = 1000.0 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
        best = k == 0 ? ms : std::min(best, ms);
    }
    return best;
}

void print(const char* what, double ms, double goal_ms) {
    std::printf("%-58s %9.2f ms   goal %.0f ms\n", what, ms, goal_ms);
}

void bench_pairing(const char* what, std::size_t newcomers, std::size_t mentors, std::size_t candidates,
                   std::uint64_t seed, double goal_ms) {
    const PairingProblem problem = generated_pairing(newcomers, mentors, candidates, seed);
    Assignment best;
    print(what, best_ms([&] { best = solve_pairing(problem); }), goal_ms);
    std::printf("    %lld paired at %lld, worst %lld\n", static_cast<long long>(best.totals.paired),
                static_cast<long long>(best.totals.pair_cost), static_cast<long long>(best.totals.worst_cost));
    FairPairing fair;
    print("    fair: the least worst cost first", best_ms([&] { fair = solve_fair(problem); }), goal_ms);
    std::printf("    worst %d at %lld\n", fair.worst_cost, static_cast<long long>(fair.assignment.totals.pair_cost));
    std::int64_t sum = 0;
    print("    one more place, 20 mentors", best_ms([&] {
              for (std::uint32_t j = 0; j < 20; ++j) sum += one_more_place(problem, best, j).totals.paired;
          }),
          goal_ms);
}

std::vector<Wait> random_waits(std::size_t persons, std::uint64_t seed) {
    SplitMix random{seed};
    std::vector<Wait> out;
    for (std::size_t k = 0; k < persons; ++k) out.push_back({random.below(40'000) / 10.0, random.below(3) > 0});
    return out;
}

// Curves with quartiles, both ends, and whether the groups differ; counts steps.
std::size_t all_of_survival() {
    constexpr std::size_t groups = 4;
    static const std::vector<Wait> waits = random_waits(100'000, 9);
    std::size_t steps = 0;
    std::vector<CohortWait> cohorts;
    std::vector<Outcome> outcomes;
    for (std::size_t i = 0; i < waits.size(); ++i) {
        cohorts.push_back({waits[i], i % groups, 0});
        outcomes.push_back({waits[i].days, waits[i].reached ? End::reached : i % 2 == 0 ? End::left : End::open});
    }
    for (std::size_t g = 0; g < groups; ++g) {
        std::vector<Wait> own;
        for (std::size_t i = g; i < waits.size(); i += groups) own.push_back(waits[i]);
        const SurvivalCurve curve = SurvivalCurve::of(own);
        for (const double q : {0.25, 0.5, 0.75}) steps += curve.quantile(q).days ? 1 : 0;
    }
    const OutcomeCurves curves = OutcomeCurves::of(outcomes);
    for (const double days : {30.0, 90.0, 365.0}) steps += curves.share_at(End::reached, days) > 0 ? 1 : 0;
    for (const TimeWeight weight : {TimeWeight::equal, TimeWeight::early}) {
        steps += static_cast<std::size_t>(log_rank(cohorts, groups, weight).degrees);
    }
    return steps;
}

std::vector<TriageFacts> random_people(std::size_t persons) {
    SplitMix random{5};
    std::vector<TriageFacts> out(persons);
    for (std::size_t k = 0; k < persons; ++k) {
        TriageFacts& person = out[k];
        person.id = std::to_string(k);
        person.stage = static_cast<std::size_t>(random.below(6));
        person.days_in_stage = random.below(300);
        person.waiting_days = random.below(12);
        person.days_in_club = random.below(500);
        person.days_before = std::max(0, person.days_in_club - recent_days);
        person.active_days_recent = random.below(22);
        person.active_days_before = random.below(static_cast<std::uint64_t>(person.days_before) + 1);
        person.days_since_active = random.below(60);
    }
    return out;
}

}  // namespace

int main() {
    bench_pairing("pairing, 1,000 newcomers, 200 mentors, 20 candidates", 1000, 200, 20, 3, 20);
    bench_pairing("pairing, 5,000 newcomers, 1,000 mentors, places to spare", 5000, 1000, 50, 1, 500);
    bench_pairing("pairing, 5,000 newcomers, 700 mentors, places short", 5000, 700, 50, 2, 500);

    std::vector<SurvivalCurve> curves;
    for (std::uint64_t stage = 0; stage < 6; ++stage) curves.push_back(SurvivalCurve::of(random_waits(300, stage)));
    const std::vector<TriageFacts> people = random_people(10'000);
    std::size_t lines = 0;
    print("triage, 10,000 people", best_ms([&] { lines += triage(people, curves, Day{}).lines.size(); }), 50);

    std::size_t steps = 0;
    print("all of survival in four groups, 100,000 records", best_ms([&] { steps += all_of_survival(); }), 200);

    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    std::printf("largest memory %ld MB (lines %zu, steps %zu)\n", usage.ru_maxrss / 1024, lines, steps);
    return 0;
}
