#include "node/domain/pairing/stability.hpp"

#include <algorithm>
#include <limits>

namespace ladderline::domain {
namespace {

constexpr std::int32_t worse_than_any = std::numeric_limits<std::int32_t>::max();

const RankedPair* find_pair(const PreferenceProblem& problem, std::size_t newcomer, std::int32_t mentor) {
    for (const RankedPair& pair : problem.preferences[newcomer]) {
        if (static_cast<std::int32_t>(pair.mentor) == mentor) return &pair;
    }
    return nullptr;
}

}  // namespace

PreferenceProblem by_cost(const PairingProblem& problem) {
    PreferenceProblem out;
    out.places = problem.places;
    out.preferences.resize(problem.newcomers());
    for (std::size_t i = 0; i < problem.newcomers(); ++i) {
        for (const PairArc& arc : problem.candidates[i]) {
            out.preferences[i].push_back({arc.mentor, arc.cost, arc.cost});
        }
    }
    return out;
}

std::size_t count_blocking_pairs(const PreferenceProblem& problem, const std::vector<std::int32_t>& mentor_of) {
    std::vector<std::int32_t> load(problem.places.size(), 0);
    std::vector<std::int32_t> worst_held(problem.places.size(), std::numeric_limits<std::int32_t>::min());
    std::vector<std::int32_t> own_rank(mentor_of.size(), worse_than_any);
    for (std::size_t i = 0; i < mentor_of.size(); ++i) {
        const RankedPair* own = find_pair(problem, i, mentor_of[i]);
        if (own == nullptr) continue;
        own_rank[i] = own->newcomer_rank;
        ++load[own->mentor];
        worst_held[own->mentor] = std::max(worst_held[own->mentor], own->mentor_rank);
    }
    std::size_t out = 0;
    for (std::size_t i = 0; i < mentor_of.size(); ++i) {
        for (const RankedPair& pair : problem.preferences[i]) {
            if (pair.newcomer_rank >= own_rank[i]) continue;
            const bool would_take =
                load[pair.mentor] < problem.places[pair.mentor] || pair.mentor_rank < worst_held[pair.mentor];
            if (would_take) ++out;
        }
    }
    return out;
}

}  // namespace ladderline::domain
