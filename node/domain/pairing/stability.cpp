#include "node/domain/pairing/stability.hpp"

#include <algorithm>
#include <limits>
#include <queue>
#include <utility>

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

std::vector<std::int32_t> deferred_acceptance(const PreferenceProblem& problem) {
    const std::size_t newcomers = problem.preferences.size();
    std::vector<std::int32_t> mentor_of(newcomers, nobody);
    std::vector<std::vector<RankedPair>> wishes = problem.preferences;
    for (auto& wish : wishes) {
        std::sort(wish.begin(), wish.end(), [](const RankedPair& a, const RankedPair& b) {
            return std::pair{a.newcomer_rank, a.mentor} < std::pair{b.newcomer_rank, b.mentor};
        });
    }
    using Held = std::pair<std::int32_t, std::size_t>;  // mentor's rank, newcomer: the worst on top
    std::vector<std::priority_queue<Held>> held(problem.places.size());
    std::vector<std::size_t> asked(newcomers, 0);
    std::vector<std::size_t> free(newcomers);
    for (std::size_t i = 0; i < newcomers; ++i) free[i] = newcomers - 1 - i;
    while (!free.empty()) {
        const std::size_t i = free.back();
        if (asked[i] == wishes[i].size()) {
            free.pop_back();
            continue;
        }
        const RankedPair& wish = wishes[i][asked[i]++];
        auto& here = held[wish.mentor];
        const Held own{wish.mentor_rank, i};
        const bool has_place = here.size() < static_cast<std::size_t>(problem.places[wish.mentor]);
        if (!has_place && (here.empty() || here.top() < own)) continue;
        free.pop_back();
        if (!has_place) {
            const std::size_t sent_away = here.top().second;
            here.pop();
            mentor_of[sent_away] = nobody;
            free.push_back(sent_away);
        }
        here.push(own);
        mentor_of[i] = static_cast<std::int32_t>(wish.mentor);
    }
    return mentor_of;
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
