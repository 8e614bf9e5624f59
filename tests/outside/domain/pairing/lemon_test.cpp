// 200 random pairings solved a second time by LEMON 1.3.1's network simplex (min-cost flow, Debian's liblemon-dev).
#include <doctest/doctest.h>

#include <optional>

#include "node/domain/pairing/assignment.hpp"
#include "tests/support/domain/pairing_instances.hpp"

#if __has_include(<lemon/network_simplex.h>)
#define LADDERLINE_HAS_LEMON
#define LEMON_ONLY_TEMPLATES
#include <lemon/network_simplex.h>
#include <lemon/smart_graph.h>
#endif

using namespace ladderline::domain;
using ladderline::test::SplitMix;

namespace {

// Sizes, places, load costs and waiting times all vary; some newcomers have no candidate at all.
PairingProblem random_problem(std::uint64_t seed) {
    SplitMix random{seed};
    PairingProblem out;
    const auto mentors = static_cast<std::size_t>(1 + random.below(30));
    for (std::size_t j = 0; j < mentors; ++j) out.places.push_back(random.below(5));
    const auto newcomers = static_cast<std::size_t>(1 + random.below(80));
    for (std::size_t i = 0; i < newcomers; ++i) {
        std::vector<PairArc> arcs;
        for (std::uint32_t j = 0; j < mentors; ++j) {
            if (random.below(4) == 0) arcs.push_back({j, random.below(1001)});
        }
        out.candidates.push_back(std::move(arcs));
        out.waiting_points.push_back(waiting_points(random.below(400)));
    }
    out.load_step = random.below(3) * 20;
    return out;
}

#ifdef LADDERLINE_HAS_LEMON
// The network at the head of assignment.hpp, with one arc a place.
std::optional<std::int64_t> least_cost_by_flow(const PairingProblem& problem) {
    lemon::SmartDigraph graph;
    const auto source = graph.addNode();
    const auto sink = graph.addNode();
    std::vector<lemon::SmartDigraph::Node> mentors;
    for (std::size_t j = 0; j < problem.mentors(); ++j) mentors.push_back(graph.addNode());
    lemon::SmartDigraph::ArcMap<std::int64_t> cost(graph);
    const auto add = [&](auto from, auto to, std::int64_t c) { cost[graph.addArc(from, to)] = c; };
    const std::int64_t out = stay_out_cost(problem);
    for (std::size_t i = 0; i < problem.newcomers(); ++i) {
        const auto newcomer = graph.addNode();
        add(source, newcomer, 0);
        add(newcomer, sink, out + problem.waiting_points_of(i));
        for (const PairArc& arc : problem.candidates[i]) add(newcomer, mentors[arc.mentor], arc.cost);
    }
    for (std::size_t j = 0; j < problem.mentors(); ++j) {
        for (std::int64_t k = 0; k < problem.places[j]; ++k) add(mentors[j], sink, k * problem.load_step);
    }
    lemon::SmartDigraph::ArcMap<std::int64_t> room(graph, 1);
    lemon::NetworkSimplex<lemon::SmartDigraph, std::int64_t, std::int64_t> simplex(graph);
    simplex.upperMap(room).costMap(cost).stSupply(source, sink, static_cast<std::int64_t>(problem.newcomers()));
    REQUIRE(simplex.run() == lemon::NetworkSimplex<lemon::SmartDigraph, std::int64_t, std::int64_t>::OPTIMAL);
    return simplex.totalCost<std::int64_t>();
}
#else
std::optional<std::int64_t> least_cost_by_flow(const PairingProblem&) {
    return std::nullopt;
}
#endif

}  // namespace

TEST_CASE("200 random pairings cost what LEMON's network simplex says, and their certificates hold") {
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        CAPTURE(seed);
        const PairingProblem problem = random_problem(seed);
        const std::optional<std::int64_t> least = least_cost_by_flow(problem);
        if (!least) {
            MESSAGE("left out: Debian's liblemon-dev is not installed; nothing was compared.");
            return;
        }
        const Assignment best = solve_pairing(problem);
        CHECK(best.totals.objective == *least);
        CHECK(certificate_holds(problem, best));
    }
}
