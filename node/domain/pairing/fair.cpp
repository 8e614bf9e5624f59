#include "node/domain/pairing/fair.hpp"

#include <algorithm>

#include "node/domain/pairing/matching.hpp"

namespace ladderline::domain {
namespace {

std::size_t paired_within(const PairingProblem& problem, std::int32_t cost_max) {
    std::vector<std::vector<std::uint32_t>> adjacent(problem.newcomers());
    for (std::size_t i = 0; i < problem.newcomers(); ++i) {
        for (const PairArc& arc : problem.candidates[i]) {
            if (arc.cost <= cost_max) adjacent[i].push_back(arc.mentor);
        }
    }
    const auto given = largest_matching(adjacent, problem.places);
    return given.size() - static_cast<std::size_t>(std::count(given.begin(), given.end(), nobody));
}

std::vector<std::int32_t> costs_of(const PairingProblem& problem) {
    std::vector<std::int32_t> out{0};
    for (const auto& arcs : problem.candidates) {
        for (const PairArc& arc : arcs) out.push_back(arc.cost);
    }
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

}  // namespace

FairPairing solve_fair(const PairingProblem& problem) {
    const std::vector<std::int32_t> costs = costs_of(problem);
    const std::size_t most = paired_within(problem, costs.back());
    const auto least = std::partition_point(costs.begin(), std::prev(costs.end()),
                                            [&](std::int32_t cost) { return paired_within(problem, cost) < most; });
    FairPairing out;
    out.worst_cost = *least;
    out.problem = problem;
    for (auto& arcs : out.problem.candidates) {
        std::erase_if(arcs, [&](const PairArc& arc) { return arc.cost > out.worst_cost; });
    }
    out.assignment = solve_pairing(out.problem);
    return out;
}

}  // namespace ladderline::domain
